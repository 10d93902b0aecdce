"""What `check` shows: one screen, most urgent first, in the units of the job."""

import re
from pathlib import Path
from typing import Any

import pytest

from tests.sample_jobs import SAMPLES, job_file, run
from toolpath.findings import Finding, by_urgency
from toolpath.output.terminal import SCREEN, _watch
from toolpath.reference import folder

INCH = (folder("samples") / "tractor-pair.toml").read_text(encoding="utf-8")
METRIC_LENGTH = re.compile(r"\bmm\b(?![²³])|\bum\b|mm/rev|m/min")


class _Job:
    units = "mm"


def _shown(findings: list[Finding], room: int | None) -> list[str]:
    job: Any = _Job()
    return list(_watch(job, by_urgency(findings), room))


NOTES = [Finding("note", f"n{k}", f"note number {k}") for k in range(30)]
DO = Finding("note", "do", "not checked", advice="measure it")
WARNING = Finding("warning", "w", "look out", advice="do this")
REFUSED = Finding("refused", "r", "cannot be", advice="change that")


def test_findings_stand_by_what_is_to_be_done() -> None:
    assert by_urgency([*NOTES[:2], DO, WARNING, REFUSED]) == (REFUSED, WARNING, DO, *NOTES[:2])


def test_check_fits_one_screen_and_says_what_it_leaves_out() -> None:
    shown = _shown([*NOTES, DO, WARNING, REFUSED], 20)
    assert len(shown) == 20
    assert shown[1:4] == [
        "  refused: cannot be; change that",
        "  warning: look out; do this",
        "  note: not checked; measure it",
    ]
    assert shown[-1] == "  and 15 more notes: --all shows every one"


@pytest.mark.parametrize(("notes", "lines"), [(18, 20), (19, 20), (20, 20)])
def test_no_note_is_left_out_that_fits(notes: int, lines: int) -> None:
    shown = _shown([WARNING, *NOTES[:notes]], 20)
    assert len(shown) == lines
    assert ("more note" in shown[-1]) == (notes > 18)


def test_warnings_are_never_left_out() -> None:
    assert len(_shown([WARNING] * 30 + NOTES, 20)) == 32


def test_all_shows_every_note() -> None:
    assert _shown([*NOTES, REFUSED], None)[2:] == [f"  note: note number {k}" for k in range(30)]


@pytest.mark.parametrize("sample", SAMPLES)
def test_every_sample_fits_one_screen(sample: str) -> None:
    whole = run("check", job_file(sample))
    first = run("check", job_file(sample), "--stage", "first", "--piston", "1")
    assert len(whole.output.splitlines()) <= SCREEN
    assert len(first.output.splitlines()) <= SCREEN
    assert run("check", job_file(sample), "--all").output.count("  note: ") >= whole.output.count("  note: ")


CHANGES = {  # of the inch sample: what brings out a finding, a fault or a reading that tells lengths
    "as it is": ("", ""),
    "thin floor": ("min_floor = 0.25", "min_floor = 0.45"),
    "wide mouth": ("mouth_diameter = 2.625", "mouth_diameter = 4"),
    "short land": ("min_top_land = 0.3", "min_top_land = 0.37"),
    "slip of the unit": ("underside_depth = 0.6", "underside_depth = 15.24"),
    "out of reach": ("volume_cc = 17.0", "volume_cc = 900"),
    "tight corner": ("tolerance_cc = 0.2", "corner_radius = 0.1\ntolerance_cc = 0.2"),
    "coarse feed": ("feed = 0.009", "feed = 0.15"),
    "allowance": ("dish_depth_of_cut = 0.02", "dish_depth_of_cut = 0.02\nallowance = 0.03"),
    "holder": ("[cutting]", '[holder]\ndirection = "x"\nwidth = 1.5\noverhang = 2\n[cutting]'),
    "fine cut": ("dish_depth_of_cut = 0.02", "dish_depth_of_cut = 0.000001"),
    "surface speed": ("fixed_rpm = 280", "surface_speed = 300"),
    "pocket": ("[crown]", "[[pocket]]\nvolume_cc = 0.4\narea_mm2 = 190\n[crown]"),
    "fractions": ("mouth_diameter = 2.625", 'mouth_diameter = "2-5/8"'),
    "proud": ("deck_clearance = 0.02", "deck_clearance = 2"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_an_inch_job_is_in_inches_throughout(change: str, tmp_path: Path) -> None:
    old, new = CHANGES[change]
    assert old in INCH
    place = tmp_path / "pair.toml"
    place.write_text(INCH.replace(old, new, 1) if old else INCH, encoding="utf-8")
    said = [run("check", place, "--all"), run("make", place, "--no-pictures", "--out", tmp_path / "out")]
    if not old:
        said += [
            run("check", place, "--all", "--stage", "first", "--piston", "1"),
            run("make", place, "--no-pictures", "--out", tmp_path / "out", "--post", "iso6983"),
            run("readback", tmp_path / "out" / "pair-dro.csv", "--job", place),
            run("reading", place, "--depth", "1=3", "--after", "last"),
            run("reading", place, "--mouth", "1=2 5/8 in", "--after", "last", "--sure"),
            run("pistons", place),
        ]
    for done in said:
        assert "Traceback" not in done.output
        for line in done.output.splitlines():
            assert not METRIC_LENGTH.search(line.replace(str(tmp_path), "")), line
