"""A recut as a drawing: its feed moves as strokes that join, the insert about its deepest place, the holder."""

import math

import pytest

from tests.edited import recut_of
from tests.sample_jobs import SAMPLES
from toolpath.drawing.sheet import Round, Straight
from toolpath.moves import Arc, Line
from toolpath.output.drawn import _feed_path, _tool


@pytest.mark.parametrize("sample", SAMPLES)
def test_every_move_at_feed_is_a_stroke_between_its_ends(sample):
    """Lines and arcs in order, each from where the one before it has ended; arcs turn by less than half a turn."""
    recut = recut_of(sample=sample)
    strokes, x, z = iter(_feed_path(recut)), None, None
    for move in recut.moves:
        if isinstance(move, Line | Arc) and (x, z) != (move.x, move.z):
            stroke = next(strokes)
            assert isinstance(stroke, Round if isinstance(move, Arc) else Straight)
            ends = [p for end in sorted(stroke.ends) for p in end]
            assert ends == pytest.approx(
                [p for end in sorted([(x, z), (move.x, move.z)]) for p in end], abs=1e-9
            )
            if isinstance(move, Arc):
                assert stroke.radius == pytest.approx(math.hypot(move.i, move.k))
                assert 0 < stroke.a2 - stroke.a1 < math.pi
        x = x if getattr(move, "x", None) is None else move.x
        z = z if getattr(move, "z", None) is None else move.z
    assert next(strokes, None) is None


@pytest.mark.parametrize("sample", ["pump-engine", "four-valve"])
def test_insert_and_holder_stand_at_the_deepest_place(sample):
    recut = recut_of(sample=sample)
    path = list(_feed_path(recut))
    lowest = min(z for stroke in path for _, z in stroke.ends)
    below, above, *outline = _tool(recut, path)
    for half, first in ((below, -math.pi), (above, 0.0)):
        assert (half.radius, half.a1, half.a2) == (recut.insert.radius, first, first + math.pi)
        assert half.cy == lowest
    assert len(outline) >= 4
    # the bar leaves upwards, its front the set-back behind the insert's
    holder = recut.job.holder
    assert min(z for line in outline for _, z in line.ends) == pytest.approx(
        lowest - recut.insert.radius + holder.set_back
    )
