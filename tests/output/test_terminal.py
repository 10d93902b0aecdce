"""What `check` shows: one screen, most urgent first, in the units of the job."""

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.edited import recut_of
from tests.jobs.judged import read
from tests.sample_jobs import SAMPLES, job_file, run
from toolpath.findings import Finding, by_urgency
from toolpath.output.terminal import LONGEST, SCREEN, _watch, after_readback, plain, refusal, summary, told
from toolpath.readings.log import Reading
from toolpath.reference import folder
from toolpath.report.figures import ReadbackFigures

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


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Pump engine", "Pump engine"),
        ("K\u00e4fer \u00d8 90", "K\u00e4fer \u00d8 90"),
        ("a\x1b[2Jb\nc\td", "a?[2Jb?c?d"),
        ("x" * LONGEST, "x" * LONGEST),
        ("x" * (LONGEST + 1), "x" * (LONGEST - 3) + "..."),
    ],
    ids=["plain", "letters of others", "control characters", "just short enough", "too long"],
)
def test_text_from_a_file_does_nothing_to_the_terminal(text: str, shown: str) -> None:
    assert plain(text) == shown


def test_a_finding_hangs_under_its_first_word() -> None:
    lines = told(Finding("note", "n", "word " * 40 + "end", 2.54, 25.4, "mm", "do it"), "inch").split("\n")
    assert all(len(line) <= 100 for line in lines)
    assert lines[0].startswith("  note: word")
    assert all(line.startswith("      w") for line in lines[1:])
    assert lines[-1].endswith("word end: 0.1000 in (limit 1.0000 in); do it")
    assert told(WARNING, "mm") == "  warning: look out; do this"


@pytest.mark.parametrize(
    ("title", "first"), [("", "Untitled job"), ("Bell\x07", "Bell?"), ("x" * 120, "x" * 100)]
)
def test_a_refusal_has_the_title_and_what_stands_in_the_way(title: str, first: str) -> None:
    from toolpath.recut import Refused, resolve

    text = job_file("pump-engine").read_text(encoding="utf-8").replace("volume_cc = 11.6", "volume_cc = 60")
    job = read(text)
    found = resolve(job.model_copy(update={"title": title}))
    assert isinstance(found, Refused)
    lines = refusal(found).split("\n")
    assert lines[:2] == [first, "What to watch"]
    assert lines[2].startswith("  refused: ")
    many: Any = Refused(job, "whole", None, (REFUSED, *NOTES, *NOTES))
    assert len(refusal(many).split("\n")) == SCREEN
    assert len(refusal(many, every=True).split("\n")) == 2 + 1 + 60


def test_nothing_to_watch() -> None:
    assert _shown([], 20) == ["What to watch", "  nothing"]


def test_one_note_that_is_left_out_is_one() -> None:
    """A note of two lines that does not fit by one."""
    long = Finding("note", "long", "word " * 30)
    assert _shown([*NOTES[:1], long], 3) == [
        "What to watch",
        "  note: note number 0",
        "  and 1 more note: --all shows every one",
    ]


@pytest.mark.parametrize(
    ("units", "gouge", "left"),
    [("mm", "0.0016 mm at most", "0.0123 mm at most"), ("inch", "0.00006 in at most", "0.00048 in at most")],
)
@pytest.mark.parametrize(("line", "ok"), [(None, True), (17, False)])
def test_what_the_readback_saw(units: Any, gouge: str, left: str, line: int | None, ok: bool) -> None:
    back = ReadbackFigures(
        volume_cc=11.60049,
        gouge_mm=0.00161,
        stock_left_mm=0.01229,
        rapid_contacts=2,
        past_centre=3,
        worst_line=line,
    )
    assert after_readback(back, units, "p.nc", "pump.toml", ok=ok).split("\n") == [
        "volume           11.6005 cc",
        f"gouge            {gouge}",
        f"stock left       {left}",
        "rapids in metal  2",
        "past centre      3",
        *([] if line is None else ["worst line       17"]),
        "p.nc does the job of pump.toml" if ok else "p.nc does NOT do the job of pump.toml",
    ]


@pytest.mark.parametrize(("sample", "deep"), [("pump-engine", " mm deep, "), ("tractor-pair", " in deep, ")])
def test_the_line_after_a_make(sample: str, deep: str, tmp_path: Path) -> None:
    said = run("make", job_file(sample), "--no-pictures", "--out", tmp_path / "out").output
    (line,) = [line for line in said.splitlines() if "read back: " in line]
    assert deep in line
    volume = {"pump-engine": "11.600 cc, ", "tractor-pair": "17.000 cc, "}[sample]
    assert line.strip().startswith(volume)
    assert re.search(r" \d+\.\d min; read back: \d+\.\d{3} cc, agrees$", line)


def test_a_screen_is_one_unless_all_is_asked_for() -> None:
    from toolpath.report.made import report_of

    recut = recut_of()
    report = report_of(recut)
    report = replace(report, findings=(*report.findings, *NOTES, *NOTES))
    assert len(summary(recut, report).split("\n")) == SCREEN
    assert "more notes: --all shows every one" in summary(recut, report)
    assert "note number 29" in summary(recut, report, every=True)
    assert "more note" not in summary(recut, report, every=True)


@pytest.mark.parametrize("off", [0.0, -40.0], ids=["as expected", "0.04 cc less"])
def test_where_the_readings_make_a_difference_both_volumes_are_said(off: float) -> None:
    from toolpath.report.made import report_of

    first = recut_of(stage="first", piston=1)
    assert first.next_cut is not None
    left = Reading(1, "first", "burette", first.next_cut.expected.volume + off)
    last = recut_of(stage="last", piston=1, readings=[left])
    assert last.next_cut is not None
    lines = summary(last, report_of(last)).split("\n")
    outcome, finished = last.next_cut.expected, report_of(last).volume.finished_cc
    (expected,) = [line for line in lines if line.startswith("  dish expected")]
    assert f" {outcome.volume / 1000:.3f} cc   +- {2 * outcome.u / 1000:.3f} cc (k = 2" in expected
    assert expected.endswith("target 11.600 cc")
    programmed = [line for line in lines if line.startswith("  as programmed")]
    apart = abs(finished - outcome.volume / 1000) > 5e-4
    assert (
        programmed == [f"  as programmed       {finished:.3f} cc   the readings make the difference"] * apart
    )
    assert apart == (off != 0.0)
    (chance,) = [line for line in lines if line.startswith("  chance")]
    assert f" {100 * outcome.chance:.0f} % " in chance
