"""Made-up shop jobs: what a machinist would plausibly ask for, drawn by a seed.

Unlike the jobs of tests/jobs/generator.py, which go to the corners of what a job file admits, these
stay near common practice (from memory, no source): bores of 60 to 130 mm, an old dish in eight of ten, a skim of
0.1 to 1.0 mm, round inserts of 6 to 12 mm, aluminium or iron at usual speeds, every form, dialect,
control point and unit.
"""

import math
from random import Random

from tests.jobs.generator import CONTROL_POINTS, POSTS, Tables, toml

FORMS = ("flat", "flat", "flat", "spherical", "spherical", "tapered", "deepened", "points")
OLD = ("spherical", "spherical", "spherical", "flat", "flat", "flat", "points", "points", "none", "none")
ROUND = ((0.0, 1.0), (0.3, 0.95), (0.55, 0.8), (0.8, 0.45), (1.0, 0.0))  # share of mouth, of depth


def shop_job(seed: int) -> str:
    """The job file of that seed, as TOML text."""
    rng = Random(f"shop {seed}")
    crown = round(rng.uniform(60, 130) - rng.uniform(0.3, 0.8), 2)
    insert = rng.choice([d for d in (6.0, 8.0, 10.0, 12.0) if d <= crown / 7])
    skim = round(rng.uniform(0.1, 1.0), 2)
    old = _old(rng, crown)
    iron = rng.random() < 0.25
    tables: Tables = {"units": rng.choice(("mm", "mm", "mm", "inch")), "title": f"Shop job {seed}"}
    tables["piston"] = {"crown_diameter": crown, "material": "cast-iron" if iron else "aluminium-silicon"}
    tables["existing"] = old
    tables["crown"] = {"skim": skim} | _break(rng, "edge_break", 0.4)
    tables["dish"] = _dish(rng, crown, insert / 2, old, skim) | _break(rng, "lip_break", 0.3)
    tables["tool"] = {
        "insert_diameter": insert,
        "relief": 7,
        "thickness": 3.2,
        "control_point": rng.choice(CONTROL_POINTS),
    }
    if rng.random() < 0.4:
        tables["holder"] = {
            "direction": "z",
            "width": round(0.7 * insert, 1),
            "set_back": 2.0,
            "overhang": 40,
        }
    tables["cutting"] = _cutting(rng, iron)
    tables["machine"] = {"post": rng.choice(POSTS), "optional_stops": rng.random() < 0.7}
    return toml(tables)


def _old(rng: Random, crown: float) -> Tables:
    form = rng.choice(OLD)
    if form == "none":
        return {"form": form}
    mouth = round(crown * rng.uniform(0.5, 0.75), 1)
    depth = round(mouth * rng.uniform(0.03, 0.08), 2)
    if form == "points":
        return {"form": form, "points": [[round(mouth * s, 2), round(depth * d, 3)] for s, d in ROUND]}
    old: Tables = {"form": form, "mouth_diameter": mouth, "depth": depth}
    if form == "flat":
        old["corner_radius"] = round(rng.uniform(0.3, 1.0) * depth, 2)
    return old


def _dish(rng: Random, crown: float, radius: float, old: Tables, skim: float) -> Tables:
    """A dish a little deeper than what the skim leaves of the old one, and mostly a little wider."""
    form = rng.choice([f for f in FORMS if f != "deepened" or old["form"] != "none"])
    mouth = _old_mouth(old) or crown * rng.uniform(0.5, 0.75)
    mouth = round(min(0.85 * crown, mouth * rng.choice((rng.uniform(1.0, 1.15), rng.uniform(0.9, 1.0)))), 2)
    depth = round(max(0.3, _old_depth(old) - skim) + rng.uniform(0.2, 1.5), 3)
    dish: Tables = {"form": form}
    if form == "deepened":
        return dish | {"depth": depth}
    if form == "points":
        dish["points"] = [[round(mouth * s, 2), round(depth * d, 3)] for s, d in ROUND]
        return dish | {"depth": depth}
    if form in ("flat", "tapered"):
        if rng.random() < 0.35:  # the insert's own where nothing is said
            dish["corner_radius"] = round(radius * rng.uniform(1.02, 1.6), 2)
        dish["wall_angle"] = rng.choice((0, 0, 0, 5, 15))
    if form == "tapered":
        dish["floor_angle"] = round(rng.uniform(0.5, 3.0), 1)
    return dish | {"mouth_diameter": mouth, "depth": depth}


def _old_mouth(old: Tables) -> float:
    return float(old["points"][-1][0] if "points" in old else old.get("mouth_diameter", 0.0))


def _old_depth(old: Tables) -> float:
    return float(old["points"][0][1] if "points" in old else old.get("depth", 0.0))


def _break(rng: Random, key: str, share: float) -> Tables:
    return {key: round(rng.uniform(0.2, 0.5), 1)} if rng.random() < share else {}


def _cutting(rng: Random, iron: bool) -> Tables:
    """Depths of cut and feeds of a finishing man rather than a production shop."""
    dish = round(rng.uniform(0.3, 1.0), 2)
    cutting: Tables = {
        "rpm_limit": rng.choice((1200, 1500, 1800, 2500)),
        "feed": round(math.exp(rng.uniform(math.log(0.06), math.log(0.2))), 3),
        "skim_depth_of_cut": round(rng.uniform(0.1, 0.4), 2),
        "dish_depth_of_cut": dish,
        "allowance": round(min(rng.uniform(0.1, 0.2), dish / 2), 2),
    }
    if rng.random() < 0.75:
        cutting["surface_speed"] = round(rng.uniform(70, 120) if iron else rng.uniform(180, 350))
    else:
        cutting["fixed_rpm"] = rng.choice((280, 360, 450)) if iron else rng.choice((500, 630, 800, 1000))
    return cutting
