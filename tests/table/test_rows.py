"""Tables that can be worked out by hand, and the words and roundings of a row."""

import math

import pytest

from toolpath.errors import InputError
from toolpath.findings import Stopped
from toolpath.forms import sections
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line
from toolpath.moves import Row
from toolpath.planner.passes import Rules
from toolpath.planner.plan import Work
from toolpath.planner.stock import Stock
from toolpath.table.readout import Readout
from toolpath.table.rows import rough_and_finish
from toolpath.table.solved import Steps, table_for
from toolpath.table.terraces import Terraces
from toolpath.table.wording import worded

OUTER = 45.2
RULES = Rules(0.25, 0.5, 0.15, math.radians(3), 1.0, 0.5)
MM = Readout("face-outer", 5.0, "mm", "diameter", 0.01, handwheel_division=0.02)
FINE = Steps(0.02, 0.0)


def rows_for(work: Work, rules: Rules, step_height: float, readout: Readout) -> tuple[Row, ...]:
    """Roughed and finished, in the readout's units."""
    return worded(rough_and_finish(work, rules, step_height, readout), work, readout)


def flat_work(depth: float, skim: float = 0.0, outer: float = OUTER) -> Work:
    """A flat dish, mouth 68, corner 5 on a plain crown."""
    stock = Stock.received(Chain.flat(skim, outer), 5.0, off_centre=0.3, depth_uncertain=0.2)
    cut = sections.flat(34.0, depth, outer, corner=5.0) if depth > 0 else Chain.flat(0.0, outer)
    return Work(stock, skim, cut, 34.0)


def test_a_flat_dish_with_the_insert_s_own_corner() -> None:
    """The corner's centre lies sqrt(5^2 - 2^2) inside the mouth at depth 3; face-outer adds R: by hand."""
    rows = rows_for(flat_work(3.0, skim=0.5), RULES, 0.02, MM)
    assert [(r.cut, r.z) for r in rows[:2]] == [
        ("skim", 0.26),
        ("skim", 0.12),
    ]  # 12 divisions, then 26 - 12 shared
    rough = [r for r in rows if r.cut == "rough"]
    assert [r.z for r in rough] == [-0.5, -1.0, -1.5, -2.0, -2.5, -2.85]
    (finish,) = [r for r in rows if r.cut == "finish"]
    stop = 34.0 - math.sqrt(25.0 - 4.0) + 5.0
    assert finish.z == -3.0
    assert finish.x_start == 10.0  # the insert's centre on the axis
    assert 2 * stop - 0.01 < finish.x_stop <= 2 * stop
    assert finish.infeed == 0.15
    # 0.15 deep at 3 degrees would take 2.9 mm of radius; the bites begin the insert's own off the axis
    assert finish.how == "7.5 div; bites X20.00, out"


def test_the_infeed_counts_from_the_row_before() -> None:
    work = flat_work(3.0, skim=0.5)
    before = 0.5
    for row in rows_for(work, RULES, 0.02, MM):
        assert row.infeed == pytest.approx(before - row.z, abs=1e-9)
        before = row.z


def test_where_the_readout_cannot_show_the_crown_it_stays_above() -> None:
    """R 5 is 393.7 counts of 0.0005 in, so the last facing row shows 394: 0.1970 in, 0.0038 mm high."""
    inch = Readout("insert-centre", 5.0, "inch", "diameter", 0.0127)
    target = flat_work(3.0).cut.volume_below()
    plan = table_for(lambda depth: flat_work(depth, skim=0.5), 3.0, inch, RULES, FINE)
    assert [r.z for r in plan.rows if r.cut == "skim"][-1] == 0.197
    assert plan.crown == pytest.approx(0.197 * 25.4 - 5.0)
    assert plan.as_cut < plan.as_cut + plan.over_crown <= plan.blended + plan.over_crown <= target
    face = Readout("face-outer", 5.0, "inch", "diameter", 0.0127)
    assert table_for(lambda depth: flat_work(depth, skim=0.5), 3.0, face, RULES, FINE).crown == 0.0


def test_no_dish_wanted_is_facing_alone() -> None:
    plan = table_for(lambda depth: flat_work(depth, skim=0.5), 0.0, MM, RULES, FINE)
    assert {r.cut for r in plan.rows} == {"skim"}
    assert plan.as_cut == plan.depth == plan.crown == plan.step_left == 0.0
    assert plan.rows[-1].how == "6 div; face in to centre"  # 0.24, then 0.26 shared


def test_too_many_rows() -> None:
    fine = Rules(0.25, 0.001, 0.0005, math.radians(3), 1.0, 0.5)
    with pytest.raises(
        Stopped, match=r"more rows than a hand can work through: 1000 rows \(limit 999 rows\)"
    ):
        rows_for(flat_work(3.0), fine, 0.02, Readout("face-outer", 5.0, "mm", "diameter", 0.001))


def test_rooms_beside_a_boss() -> None:
    """A cone valley between a boss and a rim: at half its depth the room is half as wide."""
    curve = Chain((Line(0, 0, 4, 0), Line(4, 0, 8, -2), Line(8, -2, 12, 0), Line(12, 0, 20, 0)))
    terraces = Terraces.of(curve)
    assert [wall.rising for wall in terraces.walls] == [False, True]
    assert terraces.rooms(-1.0) == [(6.0, 10.0)]
    assert terraces.rooms(-2.5) == []


@pytest.mark.parametrize(
    ("units", "resolution", "decimals"),
    [("mm", 0.005, 3), ("mm", 0.01, 2), ("mm", 0.02, 2), ("inch", 0.0127, 4), ("inch", 0.0254, 3)],
)
def test_decimals(units: str, resolution: float, decimals: int) -> None:
    assert Readout("face-outer", 5.0, units, "diameter", resolution).decimals == decimals


def test_rounding_goes_the_way_it_is_asked() -> None:
    assert MM.shown(MM.x_inside(30.0049)) == 70.0  # diameter of the outermost side
    assert MM.shown(MM.x_outside(30.0001)) == 70.01
    assert MM.shown(MM.z_over(2.0001)) == -2.99
    inner = Readout("face-inner", 5.0, "mm", "radius", 0.02)
    assert inner.shown(inner.x_outside(0.0)) == -5.0
    assert inner.x(inner.x_outside(0.0)) == 0.0


def test_a_division_of_the_infeed_is_a_division() -> None:
    """Half a millimetre is 25 divisions of 0.02, whatever X reads."""
    for reads in ("radius", "diameter"):
        assert Readout("face-outer", 5.0, "mm", reads, 0.01, 0.02).divisions(50) == pytest.approx(25.0)


def test_readout_failure() -> None:
    with pytest.raises(InputError, match=r"readout resolution 0.01 mm: no whole step in inch"):
        Readout("face-outer", 5.0, "inch", "diameter", 0.01)
    with pytest.raises(InputError, match=r"readout resolution -0.01 mm: it must be above 0"):
        Readout("face-outer", 5.0, "mm", "diameter", -0.01)


def bowl(depth: float) -> Work:
    """A bowl of 68 across in a solid crown."""
    stock = Stock.received(Chain.flat(0.0, OUTER), 5.0, off_centre=0.3, depth_uncertain=0.2)
    return Work(stock, 0.0, sections.spherical(34.0, depth, OUTER), 34.0)


def test_a_bowl_takes_24_rows_where_little_is_left_to_blend() -> None:
    plan = table_for(bowl, 6.0, MM, RULES, Steps(None, 100.0))
    assert {r.cut for r in plan.rows} == {"step"}
    assert 20 <= len(plan.rows) <= 24
    assert plan.left_to_blend < 100.0
    assert plan.blended == pytest.approx(sections.cap_volume(34.0, 6.0))


def test_a_bowl_takes_more_rows_where_24_would_leave_too_much_to_blend() -> None:
    plan = table_for(bowl, 6.0, MM, RULES, Steps(None, 20.0))
    assert len(plan.rows) > 24
    assert plan.left_to_blend <= 20.0


def test_a_stated_step_height_holds_whatever_the_rows() -> None:
    plan = table_for(bowl, 6.0, MM, RULES, FINE)
    assert 30 < len(plan.rows) < 60
    assert plan.step_left <= 0.02 + MM.x_step
