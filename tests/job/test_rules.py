"""What the values must be to one another: each rule kept and broken, with the text of its fault."""

from collections.abc import Callable

import pytest

from toolpath.job.model import Job

JobText = Callable[..., str]
Changes = dict[str, str | None]

SPHERE: Changes = {"existing.form": '"spherical"', "existing.mouth_diameter": "64"}
FLAT: Changes = {"existing.form": '"flat"', "existing.mouth_diameter": "64"}
POINTS: Changes = {"existing.form": '"points"', "existing.points": "[[0, 3], [40, 2], [60, 0]]"}
ENGINE: Changes = {
    "engine.bore": "91",
    "engine.stroke": "100",
    "engine.chamber_cc": "62",
    "engine.gasket_bore": "92",
    "engine.gasket_thickness": "1.2",
    "engine.deck_clearance": "-0.2",
}
NO_TWO: Changes = {"dish.mouth_diameter": None, "dish.volume_cc": None}
DRAWN: Changes = {"dish.form": '"points"', "dish.points": "[[0, 3], [40, 2], [60, 0]]"}
RATIO: Changes = {"dish.volume_cc": None, "dish.compression_ratio": "8.5"}


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"piston.underside_depth": "13"}, id="underside depth"),
        pytest.param({**SPHERE, "existing.volume_cc": "9.3"}, id="sphere: mouth and volume"),
        pytest.param({**SPHERE, "existing.depth": "32"}, id="sphere: a hemisphere"),
        pytest.param(
            {"existing.form": '"spherical"', "existing.depth": "5", "existing.sphere_radius": "95"},
            id="sphere: depth and radius",
        ),
        pytest.param({**FLAT, "existing.depth": "3", "existing.corner_radius": "3"}, id="flat: depth"),
        pytest.param({**FLAT, "existing.volume_cc": "9"}, id="flat: volume"),
        pytest.param({**POINTS, "existing.volume_cc": "9"}, id="points and volume"),
        pytest.param({"dish.volume_cc": None, "dish.depth": "3"}, id="mouth and depth"),
        pytest.param({"dish.mouth_diameter": None, "dish.depth": "3"}, id="volume and depth"),
        pytest.param({"dish.depth": "3"}, id="all three, the skim is solved"),
        pytest.param({**RATIO, **ENGINE}, id="ratio for the volume"),
        pytest.param({"crown.deck_clearance": "-0.1", **ENGINE}, id="deck clearance with engine"),
        pytest.param({"dish.form": '"tapered"', "dish.floor_angle": "2"}, id="tapered"),
        pytest.param(
            {**SPHERE, "existing.depth": "4", "dish.form": '"deepened"', "dish.mouth_diameter": None},
            id="deepened: volume alone",
        ),
        pytest.param({**DRAWN, **NO_TWO, "dish.depth": "4"}, id="drawn: depth alone"),
        pytest.param({**DRAWN, "crown.skim": "0.3"}, id="drawn: volume and mouth, skim given"),
        pytest.param({"tool.insert": None, "tool.insert_diameter": "10"}, id="by size"),
        pytest.param({"holder.outline": "[[-4, -3], [4, -3], [0, 40]]"}, id="outline"),
        pytest.param({"cutting.feed": "1.25"}, id="feed of a quarter of the insert radius"),
        pytest.param({"cutting.allowance": "0.49"}, id="allowance just below"),
        pytest.param({"cutting.rpm_limit": "1100"}, id="speed at the limit"),
        pytest.param({"holding.thread": '"M10"', "holding.torque": "20"}, id="torque"),
        pytest.param({"holding.clamp_force": "9000"}, id="force"),
    ],
)
def test_rule(changes: Changes, job_text: JobText, read: Callable[[str], Job]) -> None:
    assert read(job_text(changes)).units == "mm"


@pytest.mark.parametrize(
    ("changes", "fault_expected"),
    [
        pytest.param(
            {"piston.underside_depth": "13", "piston.underside": "[[0, 13], [60, 13]]"},
            "piston.underside_depth = 13: it cannot stand beside piston.underside; keep one of the two",
            id="both undersides",
        ),
        pytest.param(
            {"existing.depth": "3"},
            'existing.depth = 3: it does not belong to existing.form = "none"; '
            "leave it out or change the form",
            id="depth of no dish",
        ),
        pytest.param(
            {**SPHERE, "existing.depth": "3", "existing.corner_radius": "3"},
            'existing.corner_radius = 3: it does not belong to existing.form = "spherical"; '
            "leave it out or change the form",
            id="corner of a sphere",
        ),
        pytest.param(
            SPHERE,
            'existing.form = "spherical": a spherical dish needs two of mouth_diameter, depth, sphere_radius '
            "and volume_cc; only mouth_diameter is stated",
            id="sphere: one value",
        ),
        pytest.param(
            {**SPHERE, "existing.depth": "5", "existing.volume_cc": "9"},
            'existing.form = "spherical": two values settle a spherical dish; keep two of mouth_diameter, '
            "depth and volume_cc",
            id="sphere: three values",
        ),
        pytest.param(
            {**SPHERE, "existing.depth": "33"},
            "existing.depth = 33: 33 mm is more than half of existing.mouth_diameter, 64 mm; "
            "a spherical dish is a hemisphere at most",
            id="sphere: deeper than half its mouth",
        ),
        pytest.param(
            {**SPHERE, "existing.sphere_radius": "31"},
            "existing.sphere_radius = 31: 31 mm is less than half of existing.mouth_diameter, 64 mm; "
            "no sphere of this radius has such a mouth",
            id="sphere: radius under its mouth",
        ),
        pytest.param(
            {"existing.form": '"spherical"', "existing.depth": "33", "existing.sphere_radius": "31"},
            "existing.depth = 33: 33 mm is more than existing.sphere_radius, 31 mm; "
            "a spherical dish is a hemisphere at most",
            id="sphere: deeper than its radius",
        ),
        pytest.param(
            {"existing.form": '"flat"', "existing.depth": "3"},
            "existing.mouth_diameter: it is missing; a flat dish needs it",
            id="flat: no mouth",
        ),
        pytest.param(
            FLAT,
            "existing.depth: it is missing; a flat dish needs depth or volume_cc",
            id="flat: mouth alone",
        ),
        pytest.param(
            {**FLAT, "existing.depth": "3", "existing.volume_cc": "9"},
            "existing.depth = 3: it cannot stand beside existing.volume_cc; keep one of the two",
            id="flat: depth and volume",
        ),
        pytest.param(
            {"existing.form": '"points"'},
            "existing.points: it is missing; give [[diameter, depth], ...] from the axis outward",
            id="points: none",
        ),
        pytest.param(
            {"crown.skim": "0.5", "crown.deck_clearance": "0.7", **ENGINE},
            "crown.skim = 0.5: it cannot stand beside crown.deck_clearance; keep one of the two",
            id="skim and deck",
        ),
        pytest.param(
            {"crown.deck_clearance": "0.7"},
            "crown.deck_clearance = 0.7: it needs [engine]; add that table or state crown.skim",
            id="deck without engine",
        ),
        pytest.param(
            RATIO,
            "dish.compression_ratio = 8.5: it needs [engine]; add that table or state dish.volume_cc",
            id="ratio without engine",
        ),
        pytest.param(
            {"dish.compression_ratio": "8.5", **ENGINE},
            "dish.volume_cc = 11.6: it cannot stand beside dish.compression_ratio; keep one of the two",
            id="volume and ratio",
        ),
        pytest.param(
            {"dish.volume_cc": None},
            'dish.form = "flat": a flat dish needs two of mouth_diameter, depth and volume_cc '
            "(or compression_ratio with [engine]); only mouth_diameter is stated",
            id="mouth alone",
        ),
        pytest.param(
            NO_TWO,
            'dish.form = "flat": a flat dish needs two of mouth_diameter, depth and volume_cc '
            "(or compression_ratio with [engine])",
            id="nothing of the dish",
        ),
        pytest.param(
            {"dish.depth": "3", "crown.skim": "0.5"},
            "dish.volume_cc = 11.6: it cannot stand beside dish.mouth_diameter, dish.depth and crown.skim; "
            "leave one out (without the skim, the skim is solved)",
            id="all three and the skim",
        ),
        pytest.param(
            {"dish.depth": "3", "piston.compression_height": "40.5", "crown.compression_height": "40"},
            "dish.volume_cc = 11.6: it cannot stand beside dish.mouth_diameter, dish.depth and "
            "crown.compression_height; leave one out (without the skim, the skim is solved)",
            id="all three and the height",
        ),
        pytest.param(
            {**DRAWN, "dish.depth": "3", "dish.mouth_diameter": None, "crown.skim": "0.5"},
            "dish.volume_cc = 11.6: it cannot stand beside dish.depth and crown.skim; "
            "leave one out (without the skim, the skim is solved)",
            id="drawn: depth, volume and the skim",
        ),
        pytest.param(
            {**DRAWN, **NO_TWO},
            'dish.form = "points": a points dish needs depth or volume_cc '
            "(or compression_ratio with [engine])",
            id="drawn: nothing to solve for",
        ),
        pytest.param(
            {"dish.form": '"points"'},
            "dish.points: it is missing; give [[diameter, depth], ...] from the axis outward",
            id="drawn: no points",
        ),
        pytest.param(
            {"dish.form": '"tapered"'},
            "dish.floor_angle: it is missing; give the fall of the floor in degrees",
            id="tapered: no fall",
        ),
        pytest.param(
            {"dish.form": '"spherical"', "dish.corner_radius": "5"},
            'dish.corner_radius = 5: it does not belong to dish.form = "spherical"; '
            "leave it out or change the form",
            id="corner of a bowl",
        ),
        pytest.param(
            {"dish.form": '"deepened"'},
            'dish.form = "deepened": there is nothing to deepen with existing.form = "none"; '
            "choose another form",
            id="nothing to deepen",
        ),
        pytest.param(
            {"tool.insert_diameter": "10"},
            'tool.insert = "RCGT 10T3 M0": it cannot stand beside tool.insert_diameter; keep one of the two',
            id="two inserts",
        ),
        pytest.param(
            {"tool.insert": None},
            "tool.insert: it is missing; give an ISO 1832 designation of a round insert, or insert_diameter",
            id="no insert",
        ),
        pytest.param(
            {"tool.relief": "11"},
            "tool.relief = 11: tool.insert states it already; keep it only beside tool.insert_diameter",
            id="relief stated twice",
        ),
        pytest.param(
            {"holder.outline": "[[-4, -3], [4, -3], [0, 40]]", "holder.width": "8"},
            "holder.width = 8: it cannot stand beside holder.outline; keep one of the two",
            id="outline and width",
        ),
        pytest.param(
            {"holder.width": "8"},
            "holder.direction: it is missing; give direction and width, or an outline",
            id="width alone",
        ),
        pytest.param(
            {"cutting.surface_speed": "200"},
            "cutting.surface_speed = 200: it cannot stand beside cutting.fixed_rpm; keep one of the two",
            id="two speeds",
        ),
        pytest.param(
            {"cutting.fixed_rpm": None},
            "cutting.surface_speed: it is missing; give surface_speed or fixed_rpm",
            id="no speed",
        ),
        pytest.param(
            {"cutting.rpm_limit": "1000"},
            "cutting.fixed_rpm = 1100: it is over cutting.rpm_limit, 1000 rev/min; "
            "lower one or raise the other",
            id="speed over its limit",
        ),
        pytest.param(
            {"cutting.feed": "2.51"},
            "cutting.feed = 2.51: 2.51 mm/rev is over a quarter of the insert radius, 1.25 mm; "
            "take a finer feed, and look at the unit",
            id="feed over a quarter of a designated radius",
        ),
        pytest.param(
            {"cutting.feed": "2", "tool.insert": None, "tool.insert_diameter": "6"},
            "cutting.feed = 2: 2 mm/rev is over a quarter of the insert radius, 0.75 mm; "
            "take a finer feed, and look at the unit",
            id="feed over a quarter of a stated radius",
        ),
        pytest.param(
            {"cutting.allowance": "0.5"},
            "cutting.allowance = 0.5: 0.5 mm is not below cutting.dish_depth_of_cut, 0.5 mm; "
            "leave less for the finishing cut",
            id="allowance of a whole cut",
        ),
        pytest.param(
            {"crown.skim": "2", "cutting.skim_depth_of_cut": "0.0001"},
            "cutting.skim_depth_of_cut = 0.0001: it would take more than 10000 passes; take a deeper cut",
            id="passes of the skim",
        ),
        pytest.param(
            {"cutting.dish_depth_of_cut": "0.0001"},
            "cutting.dish_depth_of_cut = 0.0001: it would take more than 10000 passes; take a deeper cut",
            id="passes of the dish, by its volume",
        ),
        pytest.param(
            {"dish.volume_cc": None, "dish.depth": "3", "cutting.dish_depth_of_cut": "0.0002"},
            "cutting.dish_depth_of_cut = 0.0002: it would take more than 10000 passes; take a deeper cut",
            id="passes of the dish, by its depth",
        ),
        pytest.param(
            {"holding.torque": "20", "holding.clamp_force": "9000", "holding.thread": '"M10"'},
            "holding.torque = 20: it cannot stand beside holding.clamp_force; keep one of the two",
            id="torque and force",
        ),
        pytest.param(
            {"holding.torque": "20"},
            "holding.thread: it is missing; a torque needs the thread it is put on",
            id="torque without thread",
        ),
    ],
)
def test_rule_failure(
    changes: Changes, fault_expected: str, job_text: JobText, faults_of: Callable[[str], tuple[str, ...]]
) -> None:
    assert faults_of(job_text(changes)) == (f"job.toml: {fault_expected}",)


def test_pocket_shares_more_than_it_has(
    job_text: JobText, faults_of: Callable[[str], tuple[str, ...]]
) -> None:
    pocket = "\n[[pocket]]\nvolume_cc = 0.8\narea_mm2 = 200\n"
    assert faults_of(job_text() + pocket + pocket + "overlap_cc = 0.9\n") == (
        "job.toml: pocket[2].overlap_cc = 0.9: it is more than the pocket's own volume_cc; "
        "only a part can be shared",
    )
