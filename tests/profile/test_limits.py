"""What the crown keeps, on sections whose shortest lines can be worked by hand."""

import math

import pytest

from toolpath.findings import Finding
from toolpath.forms import sections
from toolpath.forms.breaks import edge_patch
from toolpath.geometry.chain import Chain, deeper
from toolpath.job.work import Piston
from toolpath.profile.limits import Limits, findings, limits

OUTER = 45.0
PAN = sections.flat(30.0, 4.0, OUTER)  # square corner at r 30, z -4


def piston(**stated: object) -> Piston:
    return Piston.model_construct(crown_diameter=2 * OUTER, **stated)


def floor(section: Chain, skim: float = 0.0, **stated: object) -> float | None:
    return limits(section, piston(**stated), skim).floor_thickness


def test_floor_over_a_level_underside():
    assert floor(PAN, 0.5, underside_depth=13.5) == pytest.approx(13.5 - 0.5 - 4.0, abs=1e-9)
    assert floor(sections.spherical(32.0, 5.0, OUTER), underside_depth=13.5) == pytest.approx(8.5, abs=1e-9)
    assert floor(Chain.flat(0.0, OUTER), 0.5, underside_depth=13.5) == pytest.approx(13.0, abs=1e-9)


def test_floor_over_a_slope_is_square_to_it():
    # under the corner (30, -4) the underside runs from (20, -14) to (40, -10)
    points = ((0.0, 14.0), (40.0, 14.0), (80.0, 10.0))
    cross = 20.0 * 10.0 - 4.0 * 10.0
    assert floor(PAN, underside=points) == pytest.approx(cross / math.hypot(20.0, 4.0), abs=1e-9)
    moved = tuple((d, z + 0.5) for d, z in points)
    assert floor(PAN, 0.5, underside=moved) == pytest.approx(cross / math.hypot(20.0, 4.0), abs=1e-9)


def test_floor_between_a_bowl_and_a_boss():
    # a boss that ends at (10, -12), under a sphere of radius 40 about (0, 30): 40 is the bowl, the rest metal
    bowl = sections.spherical(math.sqrt(40.0**2 - 30.0**2), 10.0, OUTER)
    points = ((0.0, 30.0), (19.999, 30.0), (20.0, 12.0), (20.001, 30.0), (80.0, 30.0))
    assert floor(bowl, underside=points) == pytest.approx(math.hypot(10.0, 42.0) - 40.0, abs=2e-3)


def test_underside_points_hold_level_to_the_axis():
    assert floor(PAN, underside=((20.0, 9.0), (70.0, 15.0))) == pytest.approx(5.0, abs=1e-9)
    assert floor(PAN, underside=((1.0, 9.0), (70.0, 15.0))) == pytest.approx(5.0, abs=1e-9)


def test_an_underside_that_ends_in_a_wall_keeps_it():
    # the inner side of a skirt at r 31, up to z -6: nearest to the pan's square corner (30, -4)
    points = ((0.0, 14.0), (62.0, 14.0), (62.0, 6.0))
    assert floor(PAN, underside=points) == pytest.approx(math.hypot(1.0, 2.0), abs=1e-9)


def test_an_underside_measured_beyond_the_crown_counts_as_far_as_its_edge():
    # beyond the edge (45, 0) it rises to within 1.2 mm of it; below the crown it is 10 mm under the floor
    assert floor(PAN, underside=((0.0, 14.0), (90.0, 14.0), (92.0, 0.5))) == pytest.approx(10.0, abs=1e-9)


def test_a_dish_through_the_underside_is_below_zero():
    assert floor(PAN, underside_depth=3.0) == pytest.approx(-1.0)
    assert floor(PAN, underside=((0.0, 3.0), (80.0, 20.0))) == pytest.approx(-1.0)


def test_without_an_underside_there_is_no_floor():
    left = limits(PAN, piston(), 0.0)
    assert left.floor_thickness is None
    assert [(f.severity, f.code) for f in findings(left, piston())] == [("note", "floor-not-checked")]


@pytest.mark.parametrize(
    ("depth", "root", "land", "wall"),
    [
        pytest.param(10.0, 70.0, 6.0, 5.0, id="beside the wall"),
        pytest.param(3.0, 70.0, 6.0, math.hypot(5.0, 3.0), id="from the corner down to the groove"),
        pytest.param(10.0, 70.0, 13.0, math.hypot(5.0, 3.0), id="groove below the floor"),
        pytest.param(10.0, 58.0, 6.0, 0.0, id="cut into the groove"),
    ],
)
def test_wall_to_groove(depth: float, root: float, land: float, wall: float):
    section = sections.flat(30.0, depth, OUTER)
    stated = piston(groove_root_diameter=root, top_land=land)
    assert limits(section, stated, 0.0).wall_to_groove == pytest.approx(wall, abs=1e-9)


def test_wall_to_groove_from_an_arc():
    # corner radius 5 about (25, -5), groove's corner at (33, -11): 8-6-10
    section = sections.flat(30.0, 10.0, OUTER, corner=5.0)
    stated = piston(groove_root_diameter=66.0, top_land=11.5)
    assert limits(section, stated, 0.5).wall_to_groove == pytest.approx(10.0 - 5.0, abs=2e-3)


def test_no_wall_to_groove_without_a_dish_or_a_groove():
    stated = piston(groove_root_diameter=66.0, top_land=8.0)
    assert limits(Chain.flat(0.0, OUTER), stated, 0.0).wall_to_groove is None
    assert limits(PAN, piston(top_land=8.0), 0.0).wall_to_groove is None


def test_top_land_and_rim():
    section = deeper(PAN, edge_patch(OUTER, 0.5, "chamfer"))
    left = limits(section, piston(top_land=8.0), 0.5)
    assert left.top_land == pytest.approx(7.5)
    assert left.rim == pytest.approx(OUTER - 0.5 - 30.0)
    assert limits(PAN, piston(), 0.0).top_land is None
    assert limits(sections.flat(OUTER, 4.0, OUTER), piston(), 0.0).rim == 0.0


STATED = piston(
    underside_depth=10.5,
    min_floor=6.0,
    top_land=8.0,
    min_top_land=7.5,
    groove_root_diameter=70.0,
    min_wall_to_groove=5.0,
    min_rim=15.0,
)
ENOUGH = Limits(floor_thickness=6.0, wall_to_groove=5.0, top_land=7.5, rim=15.0)


def test_at_the_limits_nothing_is_found():
    assert findings(ENOUGH, STATED) == []


@pytest.mark.parametrize(
    ("short", "code", "line"),
    [
        (
            {"floor_thickness": 5.999},
            "floor-too-thin",
            "5.999 mm (limit 6 mm); take a shallower, wider dish",
        ),
        ({"floor_thickness": -0.5}, "floor-too-thin", "-0.5 mm (limit 6 mm); take a shallower dish"),
        ({"wall_to_groove": 4.999}, "wall-to-groove", "4.999 mm (limit 5 mm); take a smaller mouth"),
        ({"top_land": 7.499}, "top-land", "7.499 mm (limit 7.5 mm); take a smaller skim"),
        ({"rim": 14.99}, "rim-width", "14.99 mm (limit 15 mm); take a smaller mouth diameter"),
    ],
)
def test_just_under_a_limit_is_a_stop(short: dict[str, float], code: str, line: str):
    values = {name: getattr(ENOUGH, name) for name in Limits._fields}
    found = findings(Limits(**{**values, **short}), STATED)
    assert [(f.severity, f.code) for f in found] == [("refused", code)]
    assert line in found[0].line()


def test_from_the_section_to_the_finding():
    def codes(depth: float, mouth: float = 30.0, skim: float = 0.5) -> list[str]:
        section = sections.flat(mouth, depth, OUTER)
        return [f.code for f in findings(limits(section, STATED, skim), STATED)]

    assert codes(4.0) == []
    assert codes(4.01) == ["floor-too-thin"]
    assert codes(4.0, skim=0.51) == ["floor-too-thin", "top-land"]
    assert codes(4.0, mouth=30.01) == ["rim-width"]


def test_what_a_job_did_not_limit_stops_only_where_nothing_is_left():
    def found(left: Limits) -> list[Finding]:
        return findings(left, piston(underside_depth=10.5, top_land=8.0))

    assert found(Limits(0.1, 0.1, 0.1, 0.0)) == []
    assert [f.code for f in found(Limits(0.0, 0.0, 0.0, 0.0))] == [
        "floor-too-thin",
        "wall-to-groove",
        "top-land",
    ]
