"""Every finding of a design by itself: what it says, with which figures, and when it says nothing."""

import math
from typing import Any

import pytest

from tests.profile.test_design import NARROW, NO_VOLUME, PAN, WIDE, Changes, chamfer, design_of, disc

FOUND: list[tuple[str, Changes, tuple[str, str], str, tuple[float | None, float | None, str], str]] = [
    (
        "the skim alone makes the target: 8 cc less 0.5 mm of a disc of 64 mm",
        WIDE | {"crown.skim": "0.5", "dish.volume_cc": repr(8.0 - disc(64.0) / 2000.0)},
        ("note", "no-dish-cut"),
        "no dish cut is needed: the skimmed old dish already is the target",
        (8.0 - disc(64.0) / 2000.0, None, "cc"),
        "",
    ),
    (
        "a small dish inside a large one",
        WIDE | NO_VOLUME | {"dish.mouth_diameter": "30", "dish.depth": "1"},
        ("note", "dish-inside-old"),
        "the dish asked for lies wholly inside the old one, so no dish is cut; the old one holds",
        (8.0, None, "cc"),
        "ask for more dish.volume_cc, dish.depth or dish.mouth_diameter if it is to change",
    ),
    (
        "a hole in a wide dish",
        WIDE | {"dish.mouth_diameter": "40", "dish.volume_cc": "14"},
        ("warning", "old-mouth-wider"),
        "the old dish is wider after the skim than dish.mouth_diameter, so its mouth stays",
        (64.0, 40.0, "mm"),
        "state that mouth or a larger one, or skim more",
    ),
    (
        "a wide dish round a hole 40 mm across: 3 cc and 0.5 of a corner of 0.2 mm deep",
        NARROW | NO_VOLUME | {"dish.depth": "2"},
        ("warning", "old-dish-deeper"),
        "the old dish stays below the new floor inside diameter 40.00 mm; its depth",
        ((3000.0 + 2 * math.pi * (20.0 - 0.223368 * 0.2) * 0.214602 * 0.04) / disc(40.0), 2.0, "mm"),
        "measure depths outside it; cut deeper if one floor is wanted",
    ),
    (
        "a wall and a rounded edge of an old dish: 1 mm at 45 degrees is more than an insert of 5 mm reaches",
        NARROW
        | NO_VOLUME
        | {"dish.mouth_diameter": "8", "dish.depth": "2", "dish.form": '"spherical"'}
        | {"dish.lip_break": "1"},
        ("warning", "lip-by-file"),
        "the insert cannot reach the lip break, so it must be filed; it counts in the target",
        (chamfer(1.0, 20.0) / 1000.0, None, "cc"),
        "file it after the last cut; until then the dish holds that much less",
    ),
    (
        "a mouth 0.7 mm from the edge",
        {"crown.edge_break": "1.0", "dish.mouth_diameter": "89"},
        ("refused", "edge-break-meets-dish"),
        "the outer edge break runs into the dish mouth",
        (1.0, 0.7, "mm"),
        "state a smaller crown.edge_break or dish.mouth_diameter",
    ),
    (
        "a mouth that the break just meets",
        {"crown.edge_break": "1.0", "dish.mouth_diameter": "88.4"},
        ("refused", "edge-break-meets-dish"),
        "the outer edge break runs into the dish mouth",
        (1.0, 1.0, "mm"),
        "state a smaller crown.edge_break or dish.mouth_diameter",
    ),
    (
        "a corner of 4 mm: 2 pi (m - 0.223368 R) 0.214602 R^2 of 5 less that of 4, 0.414214 mm at 45 degrees",
        NO_VOLUME | {"dish.corner_radius": "4", "dish.depth": "7"},
        ("refused", "corner-under-insert"),
        "the corner radius (dish.corner_radius) is tighter than the insert, which would leave 394.2 mm3, "
        "0.414 mm at the thickest",
        (4.0, 5.0, "mm"),
        "use a smaller insert or a larger dish.corner_radius",
    ),
    (
        "a bowl 8 mm across and 3 mm deep, of radius (16 + 9) / 6; on the axis 1 mm of 3 is out of reach",
        NO_VOLUME | {"dish.form": '"spherical"', "dish.mouth_diameter": "8", "dish.depth": "3"},
        ("refused", "corner-under-insert"),
        "the bowl's radius (of dish.mouth_diameter and depth) is tighter than the insert, which would leave "
        "35.1 mm3, 1.000 mm at the thickest",
        (25 / 6, 5.0, "mm"),
        "use a smaller insert or a larger dish.corner_radius",
    ),
    (
        "a drawn corner of 99.46 degrees: R (1 / sin 49.73 - 1) thick, and R^2 (cot 49.73 - 0.7029) round 58.4 mm",
        NO_VOLUME | PAN | {"dish.points": '[[0, 6], [60, 6, "sharp"], [62, 0]]'},
        ("warning", "corner-under-insert"),
        "the drawn corners are tighter than the insert, which leaves 0.662 cc in them (the target volume allows "
        "for that); thickness left",
        (1.5534, None, "mm"),
        "use a smaller insert if these corners must be as drawn",
    ),
    (
        "a floor that falls 10 degrees: a cone of 5 cc, pi r^3 tan 10 / 3, but for its rounded tip",
        {"dish.form": '"tapered"', "dish.floor_angle": "10", "dish.volume_cc": "5"},
        ("warning", "mouth-inside"),
        "the sloping floor meets the crown before the stated mouth: diameter of the mouth",
        (2 * (3 * 5000.0 / math.pi / math.tan(math.radians(10))) ** (1 / 3), 68.0, "mm"),
        "state a smaller floor_angle or more volume",
    ),
]


@pytest.mark.parametrize(
    ("changes", "kind", "what", "figures", "advice"), [c[1:] for c in FOUND], ids=[c[0] for c in FOUND]
)
def test_every_finding_of_a_design(changes: Changes, kind: Any, what: str, figures: Any, advice: str) -> None:
    (found,) = (f for f in design_of(changes).findings() if f.code == kind[1])
    severity, code, said, value, limit, unit, told = found
    assert ((severity, code), said, unit, told) == (kind, what, figures[2], advice)
    assert (value, limit) == tuple(f if f is None else pytest.approx(f, rel=1e-3) for f in figures[:2])


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"dish.corner_radius": "4.99995"},
        {"crown.edge_break": "1.0", "dish.mouth_diameter": "88.39"},
        {"dish.form": '"tapered"', "dish.floor_angle": "2"},
        {"dish.form": '"spherical"'},
        WIDE | {"dish.mouth_diameter": "64", "dish.volume_cc": "12"},
        WIDE | {"dish.mouth_diameter": "63.99", "dish.volume_cc": "12"},
        PAN | {"dish.points": "[[0, 3], [30, 2.5], [60, 0]]"},
    ],
    ids=[
        "a pan with the insert's corner",
        "an inch corner rounded to four places",
        "a break beside the mouth",
        "a fall that reaches the mouth",
        "a bowl",
        "the old mouth kept",
        "the old mouth kept to a hundredth",
        "a smooth section by points",
    ],
)
def test_a_dish_as_it_should_be_says_nothing(changes: Changes) -> None:
    if "dish.points" in changes:
        changes = changes | NO_VOLUME
    assert design_of(changes).findings() == []


def test_a_fall_that_just_misses_the_mouth_is_told() -> None:
    """Half a millimetre inside; at 10 degrees that is 0.09 mm of height."""
    (found,) = design_of(
        {"dish.form": '"tapered"', "dish.floor_angle": "10", "dish.volume_cc": "6.95"}
    ).findings()
    assert found.code == "mouth-inside"
    assert found.value == pytest.approx(67.0, abs=0.1)


@pytest.mark.parametrize(("sharp", "told"), [(34, 0), (36, 1)], ids=["0.48 mm3", "0.62 mm3"])
def test_a_corner_is_told_once_it_leaves_half_a_cubic_millimetre(sharp: float, told: int) -> None:
    """A slope that steepens by a few degrees at a sharp point."""
    points = {"dish.points": f'[[0, 3, "sharp"], [{sharp}, 2.9, "sharp"], [68, 0]]', "dish.depth": "3"}
    codes = [f.code for f in design_of(PAN, NO_VOLUME, points).findings()]
    assert codes.count("corner-under-insert") == told
