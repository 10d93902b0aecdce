"""The checks of a table: the way along the dish that a hand blends, and the travel of its rows."""

from typing import Any

import numpy as np
import pytest

from tests.edited import recut_of
from tests.sample_jobs import SAMPLES
from toolpath.geometry.chain import Chain
from toolpath.moves import Line, Rapid
from toolpath.planner.asked import rules_of
from toolpath.planner.plan import planned
from toolpath.planner.steps import CutStep
from toolpath.program.by_hand import table_of
from toolpath.program.hand_checks import _contour, _travel


@pytest.mark.parametrize("sample", SAMPLES)
def test_blending_goes_the_way_of_a_finishing_cut(sample):
    """The insert's centre as the plan of the same work finishes it."""
    recut = recut_of(sample=sample)
    work = table_of(recut).plan.work
    way, cut = _contour(work), planned(work, rules_of(recut.job)).contour
    assert way is not None
    assert cut is not None
    # a finishing cut has a lead-in before the metal, and the same end
    assert cut.inner - 0.05 < way.inner < cut.inner + 2.0
    assert way.outer == pytest.approx(cut.outer, abs=0.05)
    inner, outer = max(way.inner, cut.inner), min(way.outer, cut.outer)
    r = np.linspace(inner + 1e-6, outer - 1e-6, 200)
    assert way.heights(r) == pytest.approx(cut.heights(r), abs=1e-6)


def test_where_no_dish_is_cut_there_is_no_way():
    work = table_of(recut_of()).plan.work
    assert _contour(work._replace(cut=Chain.flat(0.0, work.stock.surface.outer))) is None


@pytest.mark.parametrize("sample", SAMPLES)
def test_the_rows_as_moves(sample):
    """Each row from clear of the metal of the moment, along the row at its height, in and out where it bites."""
    recut = recut_of(sample=sample)
    plan = table_of(recut).plan
    steps: Any = _travel(recut, plan)
    cuts = [step for step in steps if isinstance(step, CutStep)]
    runs = []
    for step in cuts:
        if not runs or runs[-1][0] is not step.run:
            runs.append((step.run, []))
        runs[-1][1].append(step)
    assert len(runs) == len(plan.cuts)
    x = z = None
    for row, (run, along) in zip(plan.cuts, runs, strict=True):
        path = row.path(plan.readout)
        assert run.kind == ("skim" if row.cut == "skim" else "rough")
        last = along[-1].move
        start, stop = plan.readout.x(row.x_start), plan.readout.x(row.x_stop)
        assert (last.x, last.z) == pytest.approx((stop, path.z2 if stop > start else path.z1), abs=1e-9)
        bites = row.bites_from is not None and row.bites_from > row.x_start
        assert len(run.legs) == (2 if bites else 1)
        if bites:
            assert run.legs[0].starts_at == pytest.approx(plan.readout.x(row.bites_from))
            assert not run.legs[0].outward
        # comes down clear of all that may stand there
        high = run.before.wary_centre
        at = run.legs[0].starts_at
        if at < high.outer:
            assert run.descend >= high.at(at) + recut.job.cutting.clearance - 1e-9
        assert run.descend >= run.legs[0].start_height - 1e-9
    for step in steps:
        if isinstance(step.move, Rapid | Line):
            x = step.move.x if step.move.x is not None else x
            z = step.move.z if step.move.z is not None else z
    assert x is not None
    assert z is not None
    assert z > 0
