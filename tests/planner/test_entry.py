"""Ways into the metal, each worked out by hand on straight sections."""

import math
from itertools import pairwise

import pytest

from toolpath.findings import Stopped
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc, Line
from toolpath.planner.entry import Leg, lead_in
from toolpath.planner.stock import Stock

RADIUS, OUTER = 4.0, 45.0
SLOPE = math.radians(3)


def drawn(*corners):
    return Chain(tuple(Line(*a, *b) for a, b in pairwise(corners)))


def solid(surface):
    return Stock(surface, surface, RADIUS)


CROWN = solid(Chain.flat(0.0, OUTER))


def floor(z, end, wall=6.0):
    """A centre path along a floor at height z out to `end`, then up a wall and over the crown."""
    return drawn((0.0, z), (end, z), (end, z + wall), (OUTER, z + wall))


def corners(leg):
    first = leg.path.segments[0]
    return [(first.r1, first.z1), *((s.r2, s.z2) for s in leg.path.segments)]


def tan(degrees):
    return math.tan(math.radians(degrees))


OLD_DISH = solid(drawn((0.0, -2.0), (20.0, -2.0), (20.0, 0.0), (OUTER, 0.0)))


@pytest.mark.parametrize(
    ("lo", "start", "descend"),
    [
        # the insert's side touches the old corner where its centre is 3 mm over the crown
        (18.0, 20.0 - math.sqrt(7.0), 3.0 + 0.5),
        (17.0, 17.0, math.sqrt(7.0) + 0.5),
        (10.0, 10.0, 3.0),
    ],
)
def test_straight_down_in_the_air_of_an_old_dish(lo, start, descend):
    lead = lead_in(floor(3.0, 30.0), lo, OLD_DISH, SLOPE, 0.5)
    assert lead.legs == ()
    assert (lead.start, lead.descend) == pytest.approx((start, descend), abs=1e-5)


def test_the_air_nearest_to_the_metal_is_taken():
    """Two grooves beside a hub and one further out, which is no use: the metal begins before it."""
    old = drawn(
        *((0.0, -3.0), (10.0, -3.0), (10.0, 0.0), (11.0, 0.0), (11.0, -3.0), (24.0, -3.0), (24.0, 0.0)),
        *((26.0, 0.0), (26.0, -3.0), (40.0, -3.0), (40.0, 0.0), (OUTER, 0.0)),
    )
    lead = lead_in(floor(3.0, 42.0), 24.0 - math.sqrt(7.0), solid(old), SLOPE, 0.5)
    assert lead.legs == ()
    assert lead.start == pytest.approx(24.0 - math.sqrt(7.0))


def test_a_ramp_from_the_crown_down_to_the_axis():
    lead = lead_in(floor(3.5, 30.0), 0.0, CROWN, SLOPE, 1.0)
    (leg,) = lead.legs
    assert not leg.outward
    assert corners(leg) == [(0.0, 3.5), pytest.approx((0.5 / tan(3), 4.0), abs=1e-4)]
    assert (lead.start, lead.descend) == (0.0, 5.0)


def test_a_leg_starts_and_ends_by_its_direction():
    path = drawn((2.0, 3.5), (12.0, 4.0))
    inward, outward = Leg(path, False), Leg(path, True)
    assert (inward.starts_at, inward.ends_at, inward.start_height) == (12.0, 2.0, 4.0)
    assert (outward.starts_at, outward.ends_at, outward.start_height) == (2.0, 12.0, 3.5)


@pytest.mark.parametrize(
    "path",
    [floor(3.7, 10.1), drawn((0.0, 3.7), (10.0, 3.7), (13.0, 9.7), (OUTER, 9.7))],
    ids=["just before a wall", "at the foot of a steep side"],
)
def test_the_ramp_starts_further_in_where_there_is_no_room_further_out(path):
    """0.3 mm at 3 degrees is 5.72 mm long: of the places further in, 6 mm is the first with room."""
    lead = lead_in(path, 10.0, CROWN, SLOPE, 1.0)
    (leg,) = lead.legs
    assert corners(leg) == [(4.0, 3.7), pytest.approx((4.0 + 0.3 / tan(3), 4.0), abs=1e-4)]
    assert lead.start == 4.0


def rising(degrees):
    """Metal that is level out to r 15 and rises from there."""
    return solid(drawn((0.0, 0.0), (15.0, 0.0), (OUTER, 30.0 * tan(degrees))))


@pytest.mark.parametrize("degrees", [1.5, 2.5])
def test_over_a_rising_floor_the_slope_counts_from_the_floor(degrees):
    """Against metal that rises 2.5 degrees a ramp of 3 would be 57 mm long; 0.5 mm at 3 degrees need 9.5."""
    top = RADIUS / math.cos(math.radians(degrees))
    (leg,) = lead_in(floor(top - 0.5, 40.0, 30.0), 15.0, rising(degrees), SLOPE, 1.0).legs
    assert 0.85 * tan(3) < 0.5 / (leg.path.outer - leg.path.inner) <= tan(3)


def test_close_to_the_axis_no_ramp_is_tilted():
    """The metal that a steeper ramp leaves outward of it would close round the insert's heel."""
    metal = solid(drawn((0.0, 0.0), (OUTER, OUTER * tan(1))))
    (leg,) = lead_in(floor(RADIUS / math.cos(math.radians(1)) - 0.5, 40.0), 0.0, metal, SLOPE, 1.0).legs
    assert leg.path.segments[0].end_direction == pytest.approx(SLOPE)


def test_no_ramp_is_steeper_than_20_degrees():
    top = RADIUS / math.cos(math.radians(22))
    legs = lead_in(floor(top - 0.5, 40.0, 30.0), 15.0, rising(22), SLOPE, 1.0).legs
    steep = [max(s.start_direction, s.end_direction) for leg in legs for s in leg.path.segments]
    assert max(steep) <= math.radians(20) + 1e-6


@pytest.mark.parametrize(("depth", "runs"), [(0.6, 1), (0.62, 3)])
def test_a_ramp_follows_a_corner_up_to_20_degrees(depth, runs):
    """A corner of 5 mm that begins at r 10 is 20 degrees steep at r 11.71: room for 0.61 mm at 3 degrees."""
    z = RADIUS - depth
    corner = Arc(10.0, z + 5.0, 5.0, -math.pi / 2, 0.0)
    path = Chain((Line(0.0, z, 10.0, z), corner, Line(15.0, z + 5.0, OUTER, z + 5.0)))
    legs = lead_in(path, 0.0, CROWN, SLOPE, 1.0).legs
    assert len(legs) == runs
    if runs == 1:
        assert corners(legs[0])[-1] == pytest.approx((depth / tan(3), 4.0), abs=1e-4)


def test_a_ramp_follows_a_gentle_floor_up():
    """1 mm at 3 degrees takes 19 mm; a floor that rises 10 degrees from r 5 is up after 10.7 mm."""
    rise = 10.0 * tan(10)
    path = drawn(
        (0.0, 3.0), (5.0, 3.0), (15.0, 3.0 + rise), (25.0, 3.0 + rise + 10.0 * tan(30)), (OUTER, 12.0)
    )
    (leg,) = lead_in(path, 0.0, CROWN, SLOPE, 1.0).legs
    assert corners(leg)[-1] == pytest.approx((5.0 + 1.0 / tan(10), 4.0), abs=1e-4)


@pytest.mark.parametrize(
    ("lo", "end", "depth", "begin", "runs"),
    [
        (0.0, 0.5, 0.5, 0.0, 21),  # 0.0262 mm a run: 20 runs, and one more to end inward
        (0.0, 5.0, 0.5, 0.0, 3),  # 0.262 mm a run
        (3.5, 3.6, 0.3, 0.0, 3),  # never past the axis: 0.189 mm a run
        (20.0, 20.3, 4.0, 12.0, 11),  # 8 mm further in: 0.435 mm a run
    ],
)
def test_to_and_fro_where_there_is_no_room_for_one_run(lo, end, depth, begin, runs):
    z = RADIUS - depth
    lead = lead_in(floor(z, end, 8.0), lo, CROWN, SLOPE, 1.0)
    assert [leg.outward for leg in lead.legs] == [k % 2 == 1 for k in range(runs)]
    assert lead.start == begin
    assert lead.descend == pytest.approx(5.0)
    fall = (end - begin) * tan(3)
    assert corners(lead.legs[0]) == [pytest.approx((begin, 4.0 - fall)), pytest.approx((end, 4.0))]
    assert corners(lead.legs[1])[0] == pytest.approx((begin, 4.0 - fall))
    assert lead.legs[1].path.segments[0].start_direction == pytest.approx(-SLOPE)
    assert corners(lead.legs[-1])[0] == pytest.approx((begin, z))
    for one, after in pairwise(lead.legs):
        assert one.ends_at == after.starts_at


@pytest.mark.parametrize(
    ("end", "depth", "told"),
    [
        (0.1, 0.2, "0.1 mm (limit 0.2 mm)"),
        (0.1, 0.5, "0.1 mm (limit 0.2385 mm)"),  # 0.5 mm in 40 runs at 3 degrees
        (0.25, 1.0, "0.25 mm (limit 0.477 mm)"),
    ],
)
def test_no_room_for_a_ramp(end, depth, told):
    with pytest.raises(Stopped) as stopped:
        lead_in(floor(RADIUS - depth, end), 0.0, CROWN, SLOPE, 1.0)
    assert str(stopped.value) == (
        "refused: there is no room inside the dish for the insert to go down on a slope (it never goes straight down "
        "into metal): width of the floor: "
        f"{told}; use a smaller insert, a wider floor or a steeper cutting.ramp_angle"
    )
    assert stopped.value.finding.code == "no-room-for-a-ramp"
