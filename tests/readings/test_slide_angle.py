"""The error of a top slide's angle in the budget of a cut by hand."""

import math

import pytest

from tests.jobs.judged import read
from tests.table.test_virtual_hand import SLOPES, sloped
from toolpath.forms import sections
from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.reach import swept
from toolpath.geometry.segments import Line
from toolpath.planner.slope import slope_of
from toolpath.recut import resolve
from toolpath.uncertainty.budget import budget

FALL = SLOPES["a floor that falls 5 degrees"]


def lines(text: str) -> dict[str, float]:
    """Parts of the budget of the first cut, mm3."""
    recut = resolve(read(text), stage="first", piston=1)
    return {part.name: part.part for part in budget(recut.next_cut.planned.volume())}


def test_the_answer_is_the_change_of_what_the_insert_sweeps_when_its_path_is_turned():
    """The path turns about its inner end, the travel along it stays; a wall beside it is left out."""
    radius, turn = 6.0, 1e-4
    slope = slope_of(sections.flat(30.0, 6.3, 42.0, corner=radius, fall=math.radians(5), tip=radius), radius)
    line, length = slope.line, slope.line.length

    def volume(angle: float) -> float:
        end = (line.r1 + length * math.cos(angle), line.z1 + length * math.sin(angle))
        cut = swept(Chain((Line(line.r1, line.z1, *end),)), radius, 42.0)
        return deeper(Chain.flat(0.0, 42.0), cut).volume_below()

    measured = (volume(slope.angle - turn) - volume(slope.angle + turn)) / (2 * turn)
    # the wall goes out a little too
    assert slope.answer(radius, line.r2 + radius) == pytest.approx(measured, rel=0.01)


def test_a_quarter_of_a_degree_on_a_60_mm_floor_stands_in_the_budget():
    """A cone of 30 mm that turns by 0.25 degrees about its point is 0.25 cc: 2 pi r^3/3 times the angle."""
    part = lines(sloped(FALL, inch=False, point="face-outer"))["top slide angle"]
    cone = 2 * math.pi * 30**3 / 3 * math.radians(0.25)
    assert part * math.sqrt(3) == pytest.approx(cone, rel=0.1)


def test_no_slide_no_such_part():
    assert "top slide angle" not in lines(sloped(FALL, inch=False, point="face-outer", top_slide=False))
    program = sloped(FALL, inch=False, point="face-outer").replace("dro-table", "iso6983")
    assert "top slide angle" not in lines(program)
