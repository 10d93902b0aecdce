"""The set before the first cut: a line a piston, what refuses one, hours and price."""

from typing import Any

import pytest

from tests.jobs.judged import read
from tests.sample_jobs import job_file
from toolpath.output.set_check import set_check_text, work_text
from toolpath.program.timing import timing_of
from toolpath.recut import Recut, Refused, resolve

FOUR = job_file("four-valve").read_text(encoding="utf-8")


def job_of(*changes: tuple[str, str]) -> Any:
    text = FOUR
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read(text)


def resolved(job: Any, *numbers: int) -> list[tuple[int, Recut | Refused]]:
    return [(n, resolve(job.for_piston(n), piston=n)) for n in numbers]


def test_what_each_piston_is_to_become():
    """Skims from the heights of the job: 30.00, 30.02, 29.99 and 30.03 down to 29.70 mm."""
    job = job_of()
    lines = set_check_text(job, resolved(job, 1, 2, 3, 4)).split("\n")
    assert lines[:2] == [
        "Four-valve set, dish carried deeper",
        "piston  skim mm  target cc    ratio  depth mm  floor mm",
    ]
    rows = [line.split() for line in lines[2:6]]
    assert [row[:2] for row in rows] == [["1", "0.300"], ["2", "0.320"], ["3", "0.290"], ["4", "0.330"]]
    assert [row[3] for row in rows] == ["9.900"] * 4  # the ratio that each was given
    for row, (_, recut) in zip(rows, resolved(job, 1, 2, 3, 4), strict=True):
        assert isinstance(recut, Recut)
        assert float(row[2]) == pytest.approx(recut.design.target / 1000, abs=6e-4)
        assert float(row[4]) == pytest.approx(recut.design.depth, abs=6e-4)
        assert float(row[5]) == pytest.approx(recut.clearance.crown.floor_thickness, abs=6e-3)
    # every column ends under the end of its heading
    ends = {len(line) for line in lines[1:6]}
    assert ends == {55}
    assert len(lines) == 8


def test_a_piston_without_engine_or_underside_has_dashes():
    text = (
        job_file("blank-bowl")
        .read_text(encoding="utf-8")
        .replace("underside_depth = 20.0\nmin_floor = 8.0\n", "")
    )
    job = read(text.replace('title = "Blank with a round bowl"', 'title = ""'))
    recut = resolve(job)
    lines = set_check_text(job, [(1, recut)]).split("\n")
    assert lines[0] == "Untitled job"
    assert [cell for cell in lines[2].split() if cell == "-"] == ["-", "-"]
    assert len(lines[2]) == len(lines[1])
    assert len(lines) == 3  # no [times]


def test_what_refuses_a_piston_stands_under_its_line_or_in_place_of_it():
    thin = job_of(("min_floor = 6.0", "min_floor = 8.9"))
    lines = set_check_text(thin, resolved(thin, 1, 2)).split("\n")
    assert [line.startswith("        refused: ") for line in lines[2:6]] == [False, True, False, True]
    assert lines[3].count(" mm") == 2  # value and limit, in the job's units
    over = job_of(("target_ratio = 9.9", "target_cc = 60"))
    (refused, fine) = resolved(over, 1, 2)
    assert isinstance(refused[1], Refused)
    lines = set_check_text(over, [refused, fine]).split("\n")
    assert lines[2].startswith("     1  refused: ")
    assert lines[3].startswith("     2    0.320")


def test_the_hours_and_the_price_of_a_set():
    """Four pistons, two fixings of 6 and two readings of 5 min each, 40 to set up, and the cutting; 55 an hour."""
    job = job_of()
    recuts = [r for _, r in resolved(job, 1, 2, 3, 4) if isinstance(r, Recut)]
    cutting = sum(timing_of(r).times.total_s for r in recuts) / 60
    hours = (40 + 8 * 6 + 8 * 5 + cutting) / 60
    work, price = work_text(job, recuts)
    assert work == (
        f"Work: setting up 40 min, 8 fixings 48 min, cutting {cutting:.0f} min, 8 readings 40 min: {hours:.1f} h"
    )
    assert price == f"Price of the set at 55 an hour: {hours * 55:.0f}, {hours * 55 / 4:.0f} a piston"


def test_the_cutting_of_those_not_worked_out_is_taken_as_the_mean_of_the_others():
    job = job_of()
    (_, one), (_, two) = resolved(job, 1, 4)
    alone = [list(work_text(job, [r]))[0] for r in (one, two) if isinstance(r, Recut)]  # noqa: RUF015
    both = next(work_text(job, [one, two]))  # type: ignore[list-item]
    minutes = [int(text.split("cutting ")[1].split(" min")[0]) for text in (*alone, both)]
    assert minutes[0] - 1 <= minutes[2] <= minutes[1] + 1
    assert minutes[2] == pytest.approx((minutes[0] + minutes[1]) / 2, abs=1)


@pytest.mark.parametrize(
    ("changes", "lines"),
    [
        ((("rate_per_hour = 55", "rate_per_hour = 0"),), 1),
        ((("rate_per_hour = 55", "rate_per_hour = 0.5"),), 2),
        (((FOUR[FOUR.index("[times]") : FOUR.index("[record]")], ""),), 0),
    ],
    ids=["no price", "a small price", "no times"],
)
def test_what_is_not_stated_is_not_told(changes, lines):
    job = job_of(*changes)
    recuts = [r for _, r in resolved(job, 1) if isinstance(r, Recut)]
    assert len(list(work_text(job, recuts))) == lines
    assert list(work_text(job, [])) == []
