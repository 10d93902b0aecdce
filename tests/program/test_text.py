"""From a recut to text: what a proving copy lifts, what it says of itself, and how little it may be lifted."""

import math
import re
from typing import Any

import pytest

from tests.jobs.judged import read
from tests.sample_jobs import DIALECTS, job_file
from toolpath.api import load_job
from toolpath.errors import InputError
from toolpath.program.head import target_words
from toolpath.program.text import least_lift, made
from toolpath.readings.log import Reading
from toolpath.recut import Recut, resolve

Z = re.compile(r"Z(-?[\d.]+)")


def recut_of(post: str = "iso6983", **asked: Any) -> Recut:
    found = resolve(load_job(job_file("pump-engine"), post=post), **asked)
    assert isinstance(found, Recut)
    return found


@pytest.mark.parametrize("post", DIALECTS)
def test_a_proving_copy_is_the_program_lifted_and_says_so(post):
    recut = recut_of(post)
    program, copy = made(recut), made(recut, lift=30.0)
    assert "PROVING" not in program.text
    # what a control shows first of all: the title, then that this is no program to cut by
    said = [line.upper() for line in copy.text.split("\n") if line.startswith("(")]
    assert "PROVING COPY LIFTED BY 30 MM: IT MUST CUT NOTHING" in said[1]
    assert copy.readback.ok
    assert copy.readback.removed == pytest.approx(0.0, abs=1e-6)
    assert program.readback.removed == pytest.approx(recut.removed_volume, rel=2e-3)
    # the gauge of the proof stands where it stood; all after the first tool clearance is 30 mm higher
    same, other = ([float(z) for z in Z.findall(text)] for text in (program.text, copy.text))
    apart = [round(b - a, 6) for a, b in zip(same, other, strict=True)]
    assert set(apart) == {0.0, 30.0}
    assert apart == sorted(apart)


def test_a_copy_that_is_to_cut_nothing_is_not_held_to_the_finished_section():
    """Lifted by just more than the least."""
    recut = recut_of()
    copy = made(recut, lift=least_lift(recut) + 0.01)
    assert copy.readback.ok
    assert copy.readback.volume == pytest.approx(recut.design.skimmed_seen)  # the old dish, under z = 0


@pytest.mark.parametrize("clearance", [1.0, 2.5])
def test_the_least_lift_is_skim_and_depth_and_clearance(clearance):
    text = job_file("pump-engine").read_text(encoding="utf-8")
    recut = resolve(read(text.replace("feed = 0.10", f"feed = 0.10\nclearance = {clearance}", 1)))
    assert isinstance(recut, Recut)
    least = 0.5 + recut.design.depth + clearance
    assert least_lift(recut) == pytest.approx(least)
    for lift in (least, least - 0.5, 0.0, math.nan):
        with pytest.raises(InputError) as raised:
            made(recut, lift=lift)
        (fault,) = raised.value.faults
        assert fault.startswith(f"--proving {lift:g} mm is not more than ")
        assert f"{least:.3f} mm; " in fault
        advised = float(re.findall(r"lift by (\d+) mm or more", fault)[0])
        assert least < advised <= least + 2
        assert made(recut, lift=advised).readback.ok


@pytest.mark.parametrize("post", DIALECTS)
def test_feeds_are_per_minute_where_the_control_has_no_other(post):
    """The finishing feed of 0.1 mm/rev at S rev/min is 0.1 S mm/min."""
    text = made(recut_of(post)).text
    feeds = {float(f) for f in re.findall(r" F([\d.]+)", text)}
    if "FEED PER MINUTE" in text.upper():
        speeds = {float(s) for s in re.findall(r"S(\d+)", text)}
        assert min(feeds) == pytest.approx(0.1 * min(speeds), rel=0.02)
    else:
        assert min(feeds) == pytest.approx(0.1)


def test_the_target_of_a_later_cut_has_no_skim():
    """It once read "no skim mm"."""
    first = recut_of(stage="first", piston=2)
    assert target_words(first).endswith(f"Dish 68.000 wide, {first.design.depth:.3f} deep, skim 0.500 mm")
    assert re.match(r"Target \d+\.\d{3} cc expected, within \d\.\d{3} cc\. Dish", target_words(first))
    left = first.next_cut.expected.volume  # type: ignore[union-attr]
    last = recut_of(stage="last", piston=2, readings=[Reading(2, "first", "burette", left)])
    assert target_words(last).endswith(f"Dish 68.000 wide, {last.design.depth:.3f} mm deep, no skim")
    expected = last.next_cut.expected  # type: ignore[union-attr]
    said = f"Target {expected.volume / 1000:.3f} cc expected, within {2 * expected.u / 1000:.3f} cc. "
    assert target_words(last).startswith(said)
