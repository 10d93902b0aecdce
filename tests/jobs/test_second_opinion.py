"""A cutter of another kind must see what the readback sees: within 0.003 mm and 0.005 cc.

The thorough run: DISHPATH_THOROUGH=1 python -m pytest tests/jobs/test_second_opinion.py
"""

import os
from itertools import count

import numpy as np
import pytest

from tests.jobs.generator import job_text
from tests.jobs.judged import read, second_of
from tests.jobs.second_cutter import Step, opinion, steps_of
from toolpath.geometry.chain import Chain
from toolpath.program.frames import frame_of
from toolpath.program.proof import setup_of
from toolpath.program.text import made
from toolpath.readback.verdict import Wanted
from toolpath.recut import resolve

WANTED = 1000 if os.environ.get("DISHPATH_THOROUGH") == "1" else 25
FIRST = 100_000  # seeds that the other tests do not use
LENGTH, VOLUME = 0.003, 5.0  # mm, mm3


def test_second_cutter_agrees_with_the_readback():
    seeds, agreed = count(FIRST), 0
    apart = []
    while agreed + len(apart) < WANTED:
        seed = next(seeds)
        recut = resolve(read(job_text(seed)))
        if recut.stopped:
            continue
        program, setup = made(recut), setup_of(recut, frame_of(recut))
        back, second = program.readback, second_of(recut, program, setup)
        off = {
            "gouge": (second.gouge - back.gouge, LENGTH),
            "stock_left": (second.stock_left - back.stock_left, LENGTH),
            "volume": (second.volume + setup.pockets - back.volume, VOLUME),
            "removed": (second.removed - back.removed, VOLUME),
            "rapid contacts": (len(second.contacts) - back.rapid_contacts, 0.5),
        }
        wrong = [f"seed {seed}: {k} apart by {v:.5f}" for k, (v, most) in off.items() if abs(v) > most]
        apart += wrong
        agreed += not wrong
    assert not apart, "\n".join(apart)


# ---- the second cutter itself, against figures that a hand can check ---------------------------


@pytest.fixture(name="setup")
def _setup() -> Wanted:
    """A flat disc of radius 40 and an insert of radius 5; nothing is to be cut."""
    flat = Chain.flat(0.0, 40.0)
    return Wanted("iso6983", "mm", "diameter", "insert-centre", 5.0, flat, flat, 0.0, 40.0, 0.0, 3)


def cut(setup: Wanted, *steps: Step):
    return opinion(steps, setup)


def test_a_ball_of_the_insert_is_sunk_at_the_axis(setup):
    seen = cut(setup, Step(1, False, (0.0, 6.0), (0.0, 3.0)))
    assert seen.volume == pytest.approx(np.pi * 2**2 * (5 - 2 / 3), abs=0.02)  # a cap 2 mm high
    assert seen.gouge == pytest.approx(2.0, abs=1e-3)
    assert seen.dish_bite == pytest.approx(2.0, abs=1e-3)


def test_a_level_pass_leaves_a_flat_with_round_ends(setup):
    seen = cut(setup, Step(1, False, (20.0, 4.0), (10.0, 4.0)))
    # half discs of a segment 1 mm high about both ends, by Pappus: the centroids cancel to r = 15
    segment = 25 * np.arccos(4 / 5) - 4 * 3
    assert seen.volume == pytest.approx(2 * np.pi * 15 * (10 * 1.0 + segment), abs=0.1)
    assert seen.dish_bite == pytest.approx(1.0, abs=1e-3)


def test_an_arc_of_the_centre_cuts_its_own_ball(setup):
    # centre path: quarter circle of radius 3 about (0, 4), so that the insert rolls in a ball of radius 8
    seen = cut(setup, Step(1, False, (0.0, 1.0), (3.0, 4.0), (0.0, 4.0), clockwise=True))
    assert seen.volume == pytest.approx(np.pi * 4**2 * (8 - 4 / 3), abs=0.2)


@pytest.mark.parametrize("to", [(10.0, 3.0), (50.0, 4.9)])
def test_a_rapid_in_metal_is_told(setup, to):
    assert cut(setup, Step(7, True, (10.0, 20.0), to)).contacts == [7]


def test_a_rapid_that_only_touches_is_none(setup):
    assert cut(setup, Step(7, True, (10.0, 20.0), (10.0, 5.0))).contacts == []


def test_a_dog_leg_through_metal_is_told(setup):
    # straight over the edge is clear, X first is not
    assert cut(setup, Step(3, True, (46.0, 1.0), (30.0, 20.0))).contacts == [3]


def test_block_reader_keeps_words_in_force():
    text = (
        "%\n(X1 Z1)\nG18 G21 G40 G90 G95\nN10 G00 Z5.0\nN20 X20.0\nG01 Z-1.0 F0.1\nG02 X24.0 Z1.0 I0.0 K2.0\n"
    )
    steps = list(steps_of(text, on_diameter=True, shift=(-2.0, 2.0)))
    assert [(s.line, s.rapid, s.end) for s in steps] == [
        (5, True, (8.0, 7.0)),
        (6, False, (8.0, 1.0)),
        (7, False, (10.0, 3.0)),
    ]
    assert steps[-1].centre == (8.0, 3.0)


def test_block_reader_refuses_what_it_does_not_know():
    with pytest.raises(ValueError, match="line 1: G28 is not known here"):
        list(steps_of("G28 X0.0\n", on_diameter=True, shift=(0.0, 0.0)))
