"""Jobs over the whole range of what a job file admits: every one is read without a fault.

`job_text(seed)` is a job file as TOML text, the same for the same seed. Sizes are drawn in mm and
written in the job's units; what they are drawn around is common practice, stretched on purpose.
"""

import json
import math
from collections.abc import Callable
from itertools import pairwise
from random import Random
from typing import Any, TypeAlias

Tables: TypeAlias = dict[str, Any]

POSTS = ("iso6983", "system-a", "rs274ngc", "dro-table")
CONTROL_POINTS = ("insert-centre", "face-outer", "face-inner")
METRIC_ROUNDS = (2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0)  # radii, mm
DECIMALS = {"mm": (3, 4, 5, 6), "inch": (4, 5, 6)}
LENGTHS = {  # keys of lengths
    "crown_diameter", "underside_depth", "top_land", "min_top_land", "mouth_diameter", "depth",
    "sphere_radius", "corner_radius", "off_centre", "depth_uncertain", "skim", "deck_clearance",
    "edge_break", "lip_break", "insert_diameter", "thickness", "width", "set_back", "overhang",
    "height_below_edge", "feed", "skim_depth_of_cut", "dish_depth_of_cut", "allowance", "clearance",
    "bore", "stroke", "gasket_bore", "gasket_thickness",
}  # fmt: skip


def job_text(seed: int) -> str:
    """The job file of that seed."""
    return toml(job_tables(seed))


def job_tables(seed: int) -> Tables:
    """The tables of that seed's job, lengths still in mm."""
    return _Drawn(Random(seed)).tables()


def toml(tables: Tables) -> str:
    """The job file of some tables whose lengths are in mm, in the units that they state."""
    unit = 25.4 if tables["units"] == "inch" else 1.0
    lines = [f"{key} = {_literal(key, value, unit)}" for key, value in tables.items() if _is_plain(value)]
    for name, table in tables.items():
        for one in table if isinstance(table, list) else [table]:
            if isinstance(one, dict):
                lines.append(f"[[{name}]]" if isinstance(table, list) else f"[{name}]")
                lines += [f"{key} = {_literal(key, value, unit)}" for key, value in one.items()]
    return "\n".join(lines) + "\n"


def _is_plain(value: Any) -> bool:
    return not isinstance(value, dict | list)


def _literal(key: str, value: Any, unit: float) -> str:
    if isinstance(value, list):
        return json.dumps([[round(a / unit, 6), round(b / unit, 6)] for a, b in value])
    if isinstance(value, bool | str):
        return json.dumps(value)
    if key in LENGTHS:
        value = round(value / unit, 6)
    elif key == "surface_speed" and unit != 1.0:
        value = round(value / 0.3048, 3)
    return repr(value)


class _Drawn:
    """One draw: crown first, then tool, old dish, new dish and means, each within what came before."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self.bore = rng.choice((rng.uniform(30, 250), rng.uniform(60, 110), rng.uniform(30, 45)))
        self.crown = round(self.bore - rng.uniform(0.2, 0.9), 2)
        self.half = self.crown / 2
        self.radius = self._radius()
        self.skim = rng.choice((0.0, 0.0, round(rng.uniform(0.02, 0.6), 3), round(rng.uniform(0, 3), 3)))
        self.skim = min(self.skim, 0.09 * self.crown)

    def tables(self) -> Tables:
        existing, old_depth = self._existing()
        pockets = self._pockets() if self.rng.random() < 0.2 else []
        engine = self._engine() if self.rng.random() < 0.3 else None
        tables: Tables = {"units": self.rng.choice(("mm", "mm", "inch")), "title": "A generated job"}
        tables["piston"] = self._piston()
        tables["existing"] = existing
        if pockets:
            tables["pocket"] = pockets
        dish, skim_free = self._dish(existing, old_depth, pockets, engine)
        tables["crown"] = self._crown(engine, skim_free)
        tables["dish"] = dish
        tables["tool"] = self._tool()
        if self.rng.random() < 0.25:
            tables["holder"] = self._holder()
        tables["cutting"] = self._cutting()
        tables["machine"] = self._machine(tables["units"])
        if engine is not None:
            tables["engine"] = engine
        return tables

    def _even(self, lo: float, hi: float, digits: int = 3) -> float:
        return round(self.rng.uniform(lo, hi), digits)

    def _spread(self, lo: float, hi: float, digits: int = 3) -> float:
        """As many draws between 0.1 and 1 as between 1 and 10."""
        return round(math.exp(self.rng.uniform(math.log(lo), math.log(hi))), digits)

    def _radius(self) -> float:
        largest = min(16.0, 0.29 * self.crown)
        if self.rng.random() < 0.5:
            return self.rng.choice([r for r in METRIC_ROUNDS if r <= largest])
        return self._even(1.0, largest, 2)

    def _piston(self) -> Tables:
        rng, piston = self.rng, {"crown_diameter": self.crown}
        if rng.random() < 0.5:
            piston["underside_depth"] = self._even(0.1 * self.crown, 0.5 * self.crown, 2)
        if rng.random() < 0.4:
            piston["top_land"] = self._even(4, 0.3 * self.crown, 2)
        return piston

    def _existing(self) -> tuple[Tables, float]:
        """The old dish, and its depth over the finished crown or a little below."""
        rng = self.rng
        form = rng.choice(("none", "none", "spherical", "spherical", "flat", "flat", "points", "points"))
        old: Tables = {"form": form}
        if form == "none":
            return old, 0.0
        mouth = self._even(0.3 * self.crown, 0.93 * self.crown, 2)
        depth = self._spread(0.3, max(0.5, 0.22 * mouth))
        if form == "spherical":
            depth = max(depth, mouth**2 / 60_000)  # flatter bowls have radii that no job may state
            sphere = (mouth**2 / 4 + depth**2) / (2 * depth)
            volume = math.pi * depth * (3 * mouth**2 / 4 + depth**2) / 6
            known = {"mouth_diameter": mouth, "depth": round(depth, 4), "sphere_radius": round(sphere, 3)}
            known["volume_cc"] = round(volume / 1000, 4)
            for key in rng.sample(sorted(known), 2):
                old[key] = known[key]
            old["volume_from"] = "nominal"
        elif form == "flat":
            corner = self._even(0, min(depth, mouth / 4), 2)
            old |= {"mouth_diameter": mouth, "depth": depth}
            if corner > 0:
                old["corner_radius"] = corner
        else:
            old["points"] = self._points(mouth, depth)
        if rng.random() < 0.4:
            old |= {"off_centre": self._even(0, 0.6, 2), "depth_uncertain": self._even(0, 0.4, 2)}
        return old, depth

    def _points(self, mouth: float, depth: float) -> list[list[float]]:
        """A measured or drawn section: round, flat, stepped, deepest off the axis, or jagged."""
        rng = self.rng
        count = rng.randint(2, 9)
        shares = sorted({0.0, 1.0, *(round(rng.uniform(0.05, 0.98), 3) for _ in range(count - 2))})
        kind = rng.choice(("round", "flat", "stepped", "hub", "jagged"))
        steps = rng.randint(2, 3)
        shapes = {
            "round": lambda s: 1 - s * s,
            "flat": lambda s: min(1.0, 4 * (1 - s)),
            "stepped": lambda s: math.ceil(steps * (1 - s)) / steps,
            "hub": lambda s: (0.4 + 0.6 * min(1.0, 2 * s)) * min(1.0, 3 * (1 - s)),
            "jagged": lambda s: rng.uniform(0.3, 1.0) * min(1.0, 3 * (1 - s)),
        }
        heights = [depth * shapes[kind](s) for s in shares]
        if rng.random() < 0.9:
            heights[-1] = 0.0
        return [[round(mouth * s, 2), round(h, 3)] for s, h in zip(shares, heights, strict=True)]

    def _pockets(self) -> list[Tables]:
        pockets = []
        for _ in range(self.rng.randint(1, 4)):
            area = self._even(0.01, 0.05, 4) * math.pi / 4 * self.crown**2
            depth = self._even(0.5, 4)
            pocket: Tables = {"volume_cc": round(area * depth / 1000, 4), "area_mm2": round(area, 2)}
            if self.rng.random() < 0.5:
                pocket["area_after_skim_mm2"] = round(area * self._even(0.7, 1.0), 2)
            if self.rng.random() < 0.3:
                pocket["overlap_cc"] = round(pocket["volume_cc"] * self._even(0, 0.6), 4)
            pockets.append(pocket)
        return pockets

    def _engine(self) -> Tables:
        bore = round(self.bore, 2)
        swept = math.pi / 4 * bore**2 * bore
        return {
            "bore": bore,
            "stroke": bore,
            "chamber_cc": round(swept / 1000 * self._even(0.05, 0.12), 3),
            "gasket_bore": bore + 1,
            "gasket_thickness": self._even(0.5, 0.02 * bore + 0.5),
            "deck_clearance": self._even(-0.5, 0.01 * bore),
            "crevice_cc": self._even(0, 1),
        }

    def _crown(self, engine: Tables | None, skim_free: bool) -> Tables:
        crown: Tables = {}
        if engine is not None and not skim_free and self.rng.random() < 0.4:
            crown["deck_clearance"] = round(engine["deck_clearance"] + self.skim, 4)
        elif not skim_free and (self.skim or self.rng.random() < 0.5):
            crown["skim"] = self.skim
        if self.rng.random() < 0.4:
            crown["edge_break"] = self._even(0.1, min(1.5, 0.05 * self.crown), 2)
            crown["edge_break_form"] = self.rng.choice(("chamfer", "radius"))
        return crown

    def _dish(
        self, existing: Tables, old_depth: float, pockets: list[Tables], engine: Tables | None
    ) -> tuple[Tables, bool]:
        rng = self.rng
        forms = ["flat", "flat", "spherical", "tapered", "points"]
        form = rng.choice(forms if existing["form"] == "none" else [*forms, "deepened"])
        least = max(1.05 * self.radius, 0.12 * self.crown)
        wide = (0.3 * self.crown, 0.9 * self.crown)
        mouth = self._even(*rng.choice((wide, wide, (2 * least, 2.6 * least))), 2)
        mouth = min(mouth, round(0.95 * self.crown, 2))
        depth = rng.choice(
            (
                self._spread(0.05, max(0.2, 0.2 * self.crown)),
                round(max(0.05, old_depth * self._even(0.6, 1.4) - self.skim), 3),
            )
        )
        dish: Tables = {"form": form}
        if form in ("flat", "tapered"):
            if rng.random() < 0.6:
                dish["corner_radius"] = round(self.radius * rng.choice((1.0, 1.0, self._even(1, 2.5))), 3)
            if rng.random() < 0.4:
                dish["wall_angle"] = self._even(0, rng.choice((5, 30, 75)), 1)
        if form == "tapered":
            dish["floor_angle"] = self._even(0, rng.choice((2, 8, 25)), 2)
        if form == "points":
            dish["points"] = self._points(mouth, depth)
        if rng.random() < 0.3:
            dish["lip_break"] = self._spread(0.05, 1.0, 2)
            dish["lip_break_form"] = rng.choice(("chamfer", "radius"))
        volume = self._about(form, mouth, depth, existing) * rng.choice((1.0, self._even(0.7, 1.3)))
        volume += sum(p["volume_cc"] - p.get("overlap_cc", 0) for p in pockets)
        volume = round(volume, 3) or 0.01
        target: Tables = {"volume_cc": volume}
        if engine is not None and rng.random() < 0.5:
            target = {"compression_ratio": self._ratio(engine, volume)}
        return dish | self._two_of(form, mouth, depth, target), self._skim_free

    def _about(self, form: str, mouth: float, depth: float, existing: Tables) -> float:
        """About the volume, cc, that a dish of this size leaves, so that most targets can be reached."""
        old = _depth_over(existing)
        if form == "deepened":
            return _turned(lambda r: max(0.0, old(r) + depth / 2 if old(r) > 0 else 0.0), self.half)
        share = {"flat": 0.1, "tapered": 0.2, "points": 0.6, "spherical": 1.0}[form]

        def new(r: float) -> float:
            s = min(1.0, 2 * r / mouth)
            return depth * (1 - share * s * s) if s < 1 else 0.0

        return _turned(lambda r: max(0.0, old(r) - self.skim, new(r)), self.half)

    _skim_free = False

    def _two_of(self, form: str, mouth: float, depth: float, target: Tables) -> Tables:
        if form in ("deepened", "points"):
            one = self.rng.choice(("depth", "target", "target", "both"))
            self._skim_free = one == "both"
            out = {} if self.rng.random() < 0.7 else {"mouth_diameter": mouth}
            return out | ({"depth": depth} if one != "target" else {}) | (target if one != "depth" else {})
        which = self.rng.choice(("mouth and depth", "depth and target", *["mouth and target"] * 3, "all"))
        self._skim_free = which == "all"
        out = {} if which == "depth and target" else {"mouth_diameter": mouth}
        if which != "mouth and target":
            out["depth"] = depth
        return out if which == "mouth and depth" else out | target

    @staticmethod
    def _ratio(engine: Tables, hollow_cc: float) -> float:
        """The compression ratio that about this hollow gives."""
        area = math.pi / 4 * engine["bore"] ** 2 / 1000
        clearance = engine["chamber_cc"] + hollow_cc + area * engine["deck_clearance"] + engine["crevice_cc"]
        clearance += math.pi / 4 * engine["gasket_bore"] ** 2 / 1000 * engine["gasket_thickness"]
        return round(max(1.5, 1 + area * engine["stroke"] / max(clearance, 0.1)), 4)

    def _tool(self) -> Tables:
        tool: Tables = {"insert_diameter": 2 * self.radius, "relief": self.rng.choice((5, 7, 11, 15, 20))}
        if self.rng.random() < 0.7:
            tool["thickness"] = self._even(1.5, 6, 2)
        return tool | {"control_point": self.rng.choice(CONTROL_POINTS)}

    def _holder(self) -> Tables:
        holder: Tables = {
            "direction": self.rng.choice(("z", "z", "x", self._even(0, 90, 1))),
            "width": round(2 * self.radius * self._even(0.4, 0.95), 2),
            "set_back": self._even(0.5, 3),
            "overhang": self._even(30, 80, 1),
        }
        if self.rng.random() < 0.5:
            holder["height_below_edge"] = self._even(6, 20, 1)
        return holder

    def _cutting(self) -> Tables:
        rng = self.rng
        most = min(0.09 * self.crown, self.radius / 2, 3.0)
        dish_cut = self._spread(0.1, most)
        cutting: Tables = {"rpm_limit": rng.choice((600, 1500, 1800, 3000))}
        cutting["feed"] = self._spread(0.03, min(0.4, 0.24 * self.radius), 4)
        cutting["skim_depth_of_cut"] = self._spread(0.05, min(1.0, most))
        cutting["dish_depth_of_cut"] = dish_cut
        if rng.random() < 0.7:
            cutting["surface_speed"] = self._even(60, 400, 1)
        else:
            cutting["fixed_rpm"] = self._even(200, 600, 0)
        if rng.random() < 0.6:
            cutting["allowance"] = round(dish_cut * rng.choice((0.05, 0.3, 0.5, 0.9)), 4)
        if rng.random() < 0.3:
            cutting["clearance"] = self._even(0.2, 3)
        if rng.random() < 0.3:
            cutting["ramp_angle"] = self._even(0.5, 10, 2)
        return cutting

    def _machine(self, units: str) -> Tables:
        rng = self.rng
        machine: Tables = {"post": rng.choice((*POSTS, *POSTS[:3]))}
        if rng.random() < 0.5:
            units = machine["program_units"] = rng.choice(("mm", "inch"))
        if rng.random() < 0.5:
            machine["decimals"] = rng.choice(DECIMALS[units])
        if rng.random() < 0.5:
            machine["x_reading"] = rng.choice(("diameter", "radius"))
        if rng.random() < 0.3:
            steps = (
                ("0.005 mm", "0.01 mm", "0.02 mm")
                if units == "mm"
                else ("0.0002 in", "0.0005 in", "0.001 in")
            )
            machine["readout"] = rng.choice(steps)
        machine |= {"optional_stops": rng.random() < 0.7, "negative_x": rng.random() < 0.95}
        machine |= {"tool_side": rng.choice(("front", "rear")), "insert_face": rng.choice(("up", "down"))}
        machine |= {"block_numbers": rng.random() < 0.2, "percent": rng.random() < 0.2}
        return machine


def _depth_over(existing: Tables) -> Callable[[float], float]:
    """Roughly the depth of the old dish over the radius, mm."""
    if existing["form"] == "none":
        return lambda r: 0.0
    if "points" in existing:
        rows = existing["points"]
    elif existing["form"] == "flat":
        rows = [[0, existing["depth"]], [existing["mouth_diameter"], existing["depth"]]]
    else:
        mouth, depth = _bowl(existing)
        rows = [[mouth * k / 20, depth * (1 - (k / 20) ** 2)] for k in range(21)]

    def depth_at(r: float) -> float:
        for (d1, h1), (d2, h2) in pairwise(rows):
            if d1 <= 2 * r <= d2:
                return h1 + (h2 - h1) * (2 * r - d1) / (d2 - d1)
        return 0.0

    return depth_at


def _bowl(existing: Tables) -> tuple[float, float]:
    """Mouth diameter and depth, mm, of a spherical dish by any two of its sizes; roughly."""
    mouth, depth, sphere = (existing.get(key) for key in ("mouth_diameter", "depth", "sphere_radius"))
    volume = 1000 * existing.get("volume_cc", 0.0)
    if depth is None:
        if mouth is not None:
            depth = (
                sphere - math.sqrt(sphere**2 - mouth**2 / 4) if sphere else 8 * volume / (math.pi * mouth**2)
            )
        else:
            depth = math.sqrt(volume / (math.pi * sphere))
    if mouth is None:
        mouth = (
            2 * math.sqrt(depth * (2 * sphere - depth))
            if sphere
            else math.sqrt(8 * volume / (math.pi * depth))
        )
    return mouth, depth


def _turned(depth: Callable[[float], float], outer: float, cells: int = 400) -> float:
    """Volume of a depth over the radius turned about the axis, cc."""
    h = outer / cells
    return sum(2 * math.pi * r * h * depth(r) for r in (h * (k + 0.5) for k in range(cells))) / 1000
