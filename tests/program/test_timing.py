"""Times of a recut: on the control's own speeds, and never under what the metal allows."""

import pytest

from tests.sample_jobs import DIALECTS, job_file
from toolpath.api import load_job
from toolpath.moves import Arc, FixedSpeed, Line, SurfaceSpeed
from toolpath.program.frames import frame_of
from toolpath.program.timing import for_writer, timing_of
from toolpath.recut import Recut, resolve


def recut_of(post: str, **machine: object) -> Recut:
    job = load_job(job_file("pump-engine"), post=post)
    found = resolve(job.model_copy(update={"machine": job.machine.model_copy(update=machine)}))
    assert isinstance(found, Recut)
    return found


@pytest.mark.parametrize("post", DIALECTS)
def test_fixed_speeds_where_the_control_has_no_other(post):
    recut = recut_of(post)
    moves = for_writer(recut, frame_of(recut))
    surface = [m for m in moves if isinstance(m, SurfaceSpeed)]
    if post == "rs274ngc":
        assert surface == []
        # nothing at feed turns over the limit, and no faster than 250 m/min on the crown's edge
        assert all(m.rpm <= 1800 for m in moves if isinstance(m, FixedSpeed))
        assert sum(isinstance(m, Line | Arc) for m in moves) == sum(
            isinstance(m, Line | Arc) for m in recut.moves
        )
    else:
        assert surface
        assert moves == recut.moves


def test_a_lower_limit_of_the_spindle_takes_longer_at_fixed_speeds():
    quick, slow = recut_of("rs274ngc"), recut_of("rs274ngc")
    job = slow.job.model_copy(update={"cutting": slow.job.cutting.model_copy(update={"rpm_limit": 800.0})})
    slow = resolve(job)
    assert isinstance(slow, Recut)
    turning = [m.rpm for m in for_writer(slow, frame_of(slow)) if isinstance(m, FixedSpeed)]
    assert max(turning) == 800.0
    assert timing_of(slow).times.cutting_s > timing_of(quick).times.cutting_s


@pytest.mark.parametrize("post", DIALECTS)
def test_times_and_what_the_metal_allows(post):
    """Fixed speeds turn as the largest X allows, so that control is the slower one."""
    found = timing_of(recut_of(post))
    assert 0 < found.bound_s <= found.economy.metal_s <= found.economy.feed_s
    assert found.bound_s == found.economy.bound_s
    assert found.economy.feed_s == pytest.approx(found.times.cutting_s)
    assert found.times.cutting_s >= timing_of(recut_of("iso6983")).times.cutting_s - 1e-9


def test_rapids_take_the_machines_rate():
    """Half the rate, twice the time between the cuts."""
    fast, slow = (timing_of(recut_of("iso6983", rapid_rate=rate)).times for rate in (6000.0, 3000.0))
    assert fast.cutting_s == pytest.approx(slow.cutting_s)
    assert slow.total_s - slow.cutting_s == pytest.approx(2 * (fast.total_s - fast.cutting_s))
