"""What a plan must keep to on every leg: feed in metal that may stand, the heel, the ramp, the finishing data."""

import math
import tomllib

import numpy as np
import pytest

from tests.bench.jobs import shop_job
from tests.jobs.generator import toml
from tests.jobs.judged import read
from toolpath.clearance.heel import rub
from toolpath.moves import Arc, FixedSpeed, Line, Rapid, SurfaceSpeed
from toolpath.planner.asked import rules_of
from toolpath.planner.steps import CutStep
from toolpath.recut import Recut, resolve
from toolpath.reference import folder
from toolpath.tool.heel import steepest_ramp

SEEDS = (3, 20, 31, 65, 81, 91)  # in 81 the lip break went 0.385 mm deep at three times the feed


def shop(seed: int, **changes: dict[str, object]) -> Recut:
    tables = tomllib.loads(shop_job(seed))
    for table, keys in changes.items():
        tables[table] |= keys
    return resolve(read(toml(tables)))


def sample(name: str, *edits: tuple[str, str]) -> Recut:
    text = (folder("samples") / f"{name}.toml").read_text()
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    return resolve(read(text))


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_faster_than_the_feed_where_metal_may_stand(seed):
    """Rapids and the air feed stay over the old dish at its worst stated place."""
    recut = shop(seed)
    assert recut.plan is not None
    stock, x, z = recut.plan.work.stock, math.nan, math.nan
    for step in recut.steps:
        move = step.move
        if isinstance(step, CutStep):
            stock = step.after
        if not isinstance(move, Rapid | Line | Arc):
            continue
        to_x, to_z = x if move.x is None else move.x, z if move.z is None else move.z
        if isinstance(move, Rapid) or (isinstance(move, Line) and move.feed > recut.running.feed):
            share = np.linspace(0.0, 1.0, 50)
            across, up = x + share * (to_x - x), z + share * (to_z - z)
            over = across < stock.wary_centre.outer
            assert (stock.wary_centre.heights(across[over]) <= up[over] + 2e-4).all(), move
        x, z = to_x, to_z


@pytest.mark.parametrize("seed", SEEDS)
def test_the_default_ramp_keeps_the_heel_clear_on_every_leg(seed):
    recut = shop(seed)
    insert, tool = recut.insert, recut.job.tool
    assert not recut.stopped
    assert insert.thickness is not None
    assert rub(recut.steps, insert.radius, insert.relief + tool.seat_tilt, insert.thickness) is None


def test_a_ramp_steeper_than_the_flank_is_refused():
    """With 7 degrees of relief a 10 degree ramp to the axis rubs on the heel."""
    recut = shop(100, cutting={"ramp_angle": 10})
    (found,) = [f for f in recut.findings if f.code == "flank-contact"]
    assert found.severity == "refused"
    assert "cutting.dish_depth_of_cut or ramp_angle" in found.line()


@pytest.mark.parametrize("slope", [8.0, 10.0])
def test_the_heel_on_a_cone_digs_in_as_worked_out_by_hand(slope):
    """At x 0, h below the edge: h (tan s - tan a) - R (1/cos s - 1); R 5, a 7 degrees (own arithmetic).

    That is 0.02 mm at 8 and 0.14 mm at 10 degrees for h 3.97.
    """
    s, a, radius, h = math.radians(slope), math.radians(7), 5.0, 3.97
    digs = h * (math.tan(s) - math.tan(a)) - radius * (1 / math.cos(s) - 1)
    assert digs == pytest.approx({8.0: 0.02, 10.0: 0.14}[slope], abs=0.005)
    assert steepest_ramp(radius, a, h) < a


def test_the_default_ramp_is_by_material_and_relief():
    wet, iron = shop(20), shop(20, piston={"material": "cast-iron"})
    assert math.degrees(rules_of(iron.job).ramp) == pytest.approx(3)
    relief = math.degrees(wet.insert.relief)
    assert 3 < math.degrees(rules_of(wet.job).ramp) <= min(8, relief - 1)
    assert math.degrees(rules_of(wet.job).thin_ramp) <= relief - 1 + 1e-9
    blunt = shop(20, tool={"relief": 11})
    assert rules_of(wet.job).ramp < rules_of(blunt.job).ramp <= math.radians(8)


def test_finishing_may_run_at_its_own_feed_and_speed():
    recut = sample(
        "pump-engine",
        ("# finish_feed = 0.10 ", "finish_feed = 0.08 "),
        ("# finish_speed = 250 ", "finish_speed = 300 "),
    )
    feeds = {
        k: {s.move.feed for s in recut.steps if isinstance(s, CutStep) and s.run.kind == k}
        for k in ("rough", "finish")
    }
    assert feeds == {"rough": {0.1}, "finish": {0.08}}
    speeds = [step.move.speed for step in recut.steps if isinstance(step.move, SurfaceSpeed)]
    assert speeds == [250.0, 250.0, 300.0]


def test_without_stops_the_speed_changes_before_the_finishing_cut_and_back_for_a_break_after_it():
    recut = sample(
        "blank-bowl",
        ("fixed_rpm = 900", "fixed_rpm = 900\nfinish_rpm = 1200"),
        ('post = "rs274ngc"', 'post = "rs274ngc"\noptional_stops = false'),
    )
    speeds = [step.move.rpm for step in recut.steps if isinstance(step.move, FixedSpeed)]
    assert speeds == [900.0, 1200.0]


def test_a_bowl_in_a_blank_is_cut_down_its_own_slope():
    """Without ramps that cut the same metal twice: inward passes, none steeper than 20 degrees."""
    recut = sample("blank-bowl", ("volume_cc = 12.0", "volume_cc = 5.0"))
    assert recut.plan is not None
    rough = [p for p in recut.plan.passes if p.kind == "rough"]
    assert any(not p.cut.outward for p in rough)
    for one in rough:
        if not one.cut.outward:
            steep = max(max(s.start_direction, s.end_direction) for s in one.cut.path.segments)
            assert steep <= math.radians(20)
        assert one.bite <= recut.job.cutting.dish_depth_of_cut + 1e-6


def test_a_thin_skin_over_an_old_dish_is_cut_in_layers():
    recut = sample("four-valve")
    assert recut.plan is not None
    assert recut.plan.count("rough", "semi") <= 4  # levels would be nine
