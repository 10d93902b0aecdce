"""Every table of generated jobs cut by a virtual hand: never over, and both printed volumes hold."""

import os
import random
from collections.abc import Iterator
from itertools import pairwise

import pytest

from tests.jobs.generator import job_text
from tests.jobs.judged import read
from tests.table.virtual_hand import cut_by_hand
from toolpath.errors import DishpathError
from toolpath.findings import stops
from toolpath.job.model import Job
from toolpath.program.by_hand import ByHand, table_of
from toolpath.recut import Recut, resolve

COUNT = 1000 if os.environ.get("DISHPATH_THOROUGH") == "1" else 40
SAME = 0.005  # cc
MOST_ROWS = 24
STEPS = {"mm": (0.005, 0.01), "inch": (0.0005 * 25.4, 0.001 * 25.4)}
DIALS = {"mm": (None, 0.02, 0.05), "inch": (None, 0.001 * 25.4)}


def lathe(seed: int) -> Job:
    """A generated job on a manual lathe: mm or inch, radius or diameter, with a dial or without."""
    job, rng = read(job_text(seed)), random.Random(seed)
    units = rng.choice(("mm", "inch"))
    machine = {
        "program_units": units,
        "x_reading": rng.choice(("diameter", "radius", None)),
        "readout": rng.choice(STEPS[units]),
        "handwheel_division": rng.choice(DIALS[units]),
        "decimals": None,
    }
    cutting = {"step_height": rng.choice((None, None, 0.02, 0.1))}
    return job.model_copy(
        update={
            "machine": job.machine.model_copy(update=machine),
            "cutting": job.cutting.model_copy(update=cutting),
        }
    )


def tables() -> Iterator[tuple[int, Recut, ByHand]]:
    for seed in range(COUNT):
        try:
            recut = resolve(lathe(seed))
            if not recut.stopped:
                yield seed, recut, table_of(recut)
        except DishpathError:
            continue  # refused in a sentence


@pytest.fixture(scope="module", name="every")
def _every() -> list[tuple[int, Recut, ByHand]]:
    return list(tables())


def test_a_hand_that_cuts_the_rows_never_cuts_over_and_finds_both_printed_volumes(every):
    assert len(every) > COUNT / 5
    for seed, recut, by_hand in every:
        cut = cut_by_hand(by_hand)
        assert cut.seen.gouge < 0.002, seed
        assert cut.seen.least_x >= -1e-6, seed
        assert cut.as_cut == pytest.approx(cut.printed_as_cut, abs=SAME), seed
        assert cut.blended == pytest.approx(cut.printed_blended, abs=SAME), seed
        target = recut.design.seen(recut.design.finished.volume_below()) / 1000
        assert max(cut.as_cut, cut.blended) <= target + 0.001, seed
        assert by_hand.expected / 1000 == pytest.approx(cut.as_cut, abs=SAME), seed


def test_no_table_goes_deeper_than_what_was_checked(every):
    for seed, recut, by_hand in every:
        assert by_hand.plan.depth <= recut.design.depth + 1e-6, seed
        checked, left = recut.clearance.crown, by_hand.limits
        if checked.floor_thickness is not None:
            assert left.floor_thickness >= checked.floor_thickness - 1e-6, seed
        if checked.wall_to_groove is not None:
            assert left.wall_to_groove >= checked.wall_to_groove - 1e-3, seed
        assert not stops(by_hand.findings), seed


def test_rows_go_down_by_whole_divisions_and_the_stated_depth(every):
    for seed, recut, by_hand in every:
        cutting, readout = recut.job.cutting, by_hand.readout
        for kind, depth in (("skim", cutting.skim_depth_of_cut), ("rough", cutting.dish_depth_of_cut)):
            step = readout.step(depth)
            assert step * readout.resolution <= depth + 1e-9 or step == 1, seed
            division = readout.handwheel_division
            if division is not None and division <= depth:
                assert readout.divisions(step) == pytest.approx(round(readout.divisions(step))), seed
            heights = list(dict.fromkeys(c.z for c in by_hand.plan.cuts if c.cut == kind))
            downs = [a - b for a, b in pairwise(heights)]
            assert all(down % step == 0 for down in downs[:-2]), seed


def test_a_dish_takes_few_rows_or_leaves_little_to_blend(every):
    most = 0
    for seed, recut, by_hand in every:
        if recut.job.cutting.step_height is not None:
            continue
        dish = [c for c in by_hand.plan.cuts if c.cut != "skim"]
        plan, cutting = by_hand.plan, recut.job.cutting
        if len(dish) <= MOST_ROWS:
            most = max(most, len(dish))
            continue
        deep = plan.depth / cutting.dish_depth_of_cut > MOST_ROWS / 2
        assert deep or plan.left_to_blend <= recut.job.dish.tolerance / 2 or plan.step_left < 0.05, seed
    assert most > 5
