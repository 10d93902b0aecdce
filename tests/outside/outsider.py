"""What an outsider needs: a job, the command, and integrals and cutters of another kind.

Nothing of the package's geometry is used. Volumes are integrated with scipy (solids of revolution by shells),
programs and tables are cut into a depth map by a disc of the insert's radius, compression is plain arithmetic.
"""

import csv
import io
import json
import math
import re
from collections.abc import Callable, Iterator
from copy import deepcopy
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result
from numpy.typing import NDArray
from scipy.integrate import quad

from toolpath.cli.main import main

Curve = NDArray[np.float64]
Depths = Callable[[Curve], Curve]
Job = dict[str, Any]

BOWL_MOUTH, BOWL_CC, EDGE, SKIM = 32.0, 9.3, 45.2, 0.5
BOWL: Job = {
    "units": "mm",
    "piston": {
        "count": 4,
        "material": "aluminium-silicon",
        "crown_diameter": 2 * EDGE,
        "underside_depth": 18.0,
        "min_floor": 6.0,
        "top_land": 9.5,
        "min_top_land": 6.0,
    },
    "existing": {"form": "spherical", "mouth_diameter": 2 * BOWL_MOUTH, "volume_cc": BOWL_CC},
    "crown": {"skim": SKIM},
    "dish": {"form": "flat", "mouth_diameter": 68.0, "volume_cc": 11.6, "corner_radius": 5.0},
    "tool": {"insert": "RCGT 10T3 M0", "control_point": "face-outer"},
    "cutting": {
        "surface_speed": 250,
        "rpm_limit": 1800,
        "feed": 0.1,
        "skim_depth_of_cut": 0.25,
        "dish_depth_of_cut": 0.5,
        "allowance": 0.15,
    },
    "machine": {"post": "iso6983"},
}
ENGINE = {
    "engine.bore": 91.0,
    "engine.stroke": 100.0,
    "engine.chamber_cc": 62.0,
    "engine.gasket_bore": 92.0,
    "engine.gasket_thickness": 1.2,
    "engine.min_head_room": 1.0,
}
LOOSE = {"tool.insert": None, "tool.insert_diameter": 10, "tool.relief": 7}
BLANK = {"existing.form": "none", "existing.mouth_diameter": None, "existing.volume_cc": None}


def job(changes: Job | None = None) -> Job:
    """The bowl job with dotted keys set, or taken out where the value is None."""
    made = deepcopy(BOWL)
    for dotted, value in (changes or {}).items():
        table, key = dotted.split(".")
        made.setdefault(table, {})[key] = value
    return {
        name: {k: v for k, v in held.items() if v is not None} if isinstance(held, dict) else held
        for name, held in made.items()
    }


def toml(made: Job) -> str:
    """The job as text; a JSON scalar or list of scalars is also a TOML one."""
    lines = [f"units = {json.dumps(made['units'])}"]
    for name, table in made.items():
        if name != "units":
            lines += [f"[{name}]", *(f"{k} = {json.dumps(v)}" for k, v in table.items())]
    return "\n".join(lines) + "\n"


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def report(path: Path) -> Job:
    """`make` without pictures must succeed; its report."""
    done = run("make", path, "--no-pictures")
    assert done.exit_code == 0, done.output
    return json.loads((path.parent / "x" / "x-report.json").read_text())  # type: ignore[no-any-return]


def checked(path: Path) -> Job:
    return json.loads(run("check", path, "--json").stdout)  # type: ignore[no-any-return]


def cap_height(mouth: float, volume_cc: float) -> float:
    """Height of a spherical cap, V = pi h (3a^2 + h^2)/6, by bisection."""
    low, high = 0.0, mouth
    for _ in range(80):
        mid = (low + high) / 2
        low, high = (mid, high) if math.pi * mid * (3 * mouth**2 + mid**2) < 6000 * volume_cc else (low, mid)
    return low


def bowl(mouth: float, depth: float, skim: float = 0.0) -> Depths:
    sphere = (mouth**2 + depth**2) / (2 * depth)
    return lambda r: np.maximum(np.sqrt(np.maximum(sphere**2 - r**2, 0)) - (sphere - depth) - skim, 0)


def pan(mouth: float, depth: float, corner: float) -> Depths:
    """A flat floor with an upright wall; where it is shallower than its corner the wall is part of the arc."""
    centre = mouth - (corner if depth >= corner else math.sqrt(corner**2 - (corner - depth) ** 2))

    def deep(r: Curve) -> Curve:
        arc = depth - corner + np.sqrt(np.maximum(corner**2 - (r - centre) ** 2, 0))
        return np.where(r >= mouth, 0.0, np.where(r <= centre, depth, arc))

    return deep


def shells_cc(deep: Depths, *joints: float) -> float:
    ends = sorted({0.0, EDGE, *(r for r in joints if 0 < r < EDGE)})
    total = sum(
        quad(lambda r: 2 * math.pi * r * float(deep(np.asarray(r))), a, b, epsrel=1e-11, limit=200)[0]
        for a, b in pairwise(ends)
    )
    return float(total) / 1000


R_GRID = (np.arange(4520) + 0.5) * EDGE / 4520


def seen_cc(z: Curve) -> float:
    return float((2 * math.pi * R_GRID * np.maximum(-z, 0)).sum() * EDGE / 4520) / 1000


def words(text: str) -> Iterator[tuple[int, dict[str, float], list[int]]]:
    for line, block in enumerate(text.splitlines(), 1):
        pairs = re.findall(r"([A-Z])(-?[\d.]+)", re.sub(r"\([^)]*\)", "", block))
        yield line, {a: float(v) for a, v in pairs if a != "G"}, [int(v) for a, v in pairs if a == "G"]


def path_of(mode: int, start: list[float], end: list[float], ik: tuple[float, float]) -> Curve:
    if mode < 2:
        return np.linspace(start, end, int(math.dist(start, end) / 0.02) + 2)
    cx, cz = start[0] + ik[0], start[1] + ik[1]
    radius, first, last = math.hypot(*ik), math.atan2(-ik[0], -ik[1]), math.atan2(end[0] - cx, end[1] - cz)
    assert math.dist(end, (cx, cz)) == pytest.approx(radius, abs=0.003)
    sense = 1 if mode == 3 else -1  # G3 turns from +Z to +X (NIST IR 6556, 3.5.3)
    turn = sense * (last - first) % (2 * math.pi)
    angles = first + sense * np.linspace(0, turn, int(turn * radius / 0.02) + 3)
    return np.column_stack((cx + radius * np.sin(angles), cz + radius * np.cos(angles)))


def under(path: Curve, radius: float) -> Curve:
    low = np.full(R_GRID.size, np.inf)
    for x, z in path:
        a, b = np.searchsorted(R_GRID, (x - radius, x + radius))
        low[a:b] = np.minimum(low[a:b], z - np.sqrt(np.maximum(radius**2 - (R_GRID[a:b] - x) ** 2, 0)))
    return low


SHIFT = {"face-outer": (-1, 1), "face-inner": (1, 1), "insert-centre": (0, 0)}


def cut_program(text: str, program: Job, z: Curve) -> Curve:
    """The crown after the program; rapids must move one axis, stay out of metal, and none may pass the axis."""
    radius, half = program["insert_radius_mm"], 2 if program["x_reading"] == "diameter" else 1
    unit = 25.4 if program["units"] == "inch" else 1.0
    dx, dz = (radius * s for s in SHIFT[program["control_point"]])
    at = [math.nan, math.nan]
    mode = 0
    for line, word, modes in words(text):
        mode = next((g for g in modes if g in (0, 1, 2, 3)), mode)
        if not {"X", "Z"} & word.keys():
            continue
        end = [
            word["X"] * unit / half + dx if "X" in word else at[0],
            word["Z"] * unit + dz if "Z" in word else at[1],
        ]
        if not math.isnan(sum(at)):
            path = path_of(mode, at, end, (word.get("I", 0) * unit, word.get("K", 0) * unit))
            assert path[:, 0].min() > -0.0015, f"line {line} passes the axis"
            low = under(path, radius)
            if mode == 0:
                assert len({"X", "Z"} & word.keys()) == 1, f"line {line} moves two axes at rapid"
                assert (z - low).max() < 1e-4, f"line {line} is a rapid through metal"
            else:
                z = np.minimum(z, low)
        at = end
    return z


def cut_rows(text: str, table: Job, radius: float, z: Curve) -> Curve:
    half, unit = 2 if table["x_reading"] == "diameter" else 1, 25.4 if table["units"] == "inch" else 1.0
    dx, dz = (radius * s for s in SHIFT[table["control_point"]])
    for row in csv.DictReader(io.StringIO(text)):
        a, b = sorted(float(row[k]) * unit / half + dx for k in ("x_start", "x_stop"))
        off = np.clip(R_GRID, a, b) - R_GRID
        low = float(row["z"]) * unit + dz - np.sqrt(np.maximum(radius**2 - off**2, 0))
        z = np.where(abs(off) < radius, np.minimum(z, low), z)
    return z


def before(made: Job) -> Curve:
    """Top of the metal over the finished crown, as received."""
    if made["existing"]["form"] == "none":
        return np.full(R_GRID.size, SKIM)
    return SKIM - bowl(BOWL_MOUTH, cap_height(BOWL_MOUTH, BOWL_CC))(R_GRID)
