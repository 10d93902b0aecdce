"""The table from the command line: what was checked is what the rows cut, and one X reading a job."""

import csv
import io
import json
from pathlib import Path

import pytest

from tests.sample_jobs import POSTS, SAMPLES, job_file, run


def edited(place: Path, sample: str, *changes: tuple[str, str]) -> Path:
    """A sample with some of its text replaced."""
    text = job_file(sample).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = place / "job.toml"
    path.write_text(text, encoding="utf-8")
    return path


def report(job: Path, *more: str) -> dict:
    done = run("check", job, "--json", *more)
    return json.loads(done.stdout)


def rows(job: Path, *more: str) -> list[dict[str, str]]:
    done = run("table", job, "--csv", *more)
    assert done.exit_code == 0, done.output
    return list(csv.DictReader(io.StringIO(done.stdout)))


@pytest.mark.parametrize("step", ["0.02", "0.05", "0.2", None])
@pytest.mark.parametrize("point", ["insert-centre", "face-outer"])
def test_the_rows_leave_the_floor_that_was_checked_and_reported(tmp_path, step, point):
    """A bowl whose rows once left 11.34 mm where 11.4 was allowed and 11.42 reported."""
    height = "" if step is None else f"\nstep_height = {step}"
    job = edited(
        tmp_path,
        "blank-bowl",
        ("min_floor = 8.0", "min_floor = 11.4"),
        ("allowance = 0.2", f"allowance = 0.2{height}"),
        ('"rs274ngc"', '"dro-table"'),
        ("insert-centre", point),
    )
    told = report(job)
    lowest = min(float(row["z"]) for row in rows(job)) - (6.0 if point == "insert-centre" else 0.0)
    left = 20.0 - 0.3 + lowest  # underside less skim, less the rows' depth
    assert left >= told["section"]["floor_thickness_mm"] >= 11.4
    assert told["table"]["floor_thickness_mm"] == pytest.approx(left, abs=1e-9)
    assert told["table"]["depth_mm"] == pytest.approx(-lowest)
    assert told["table"]["step_height_mm"] <= (float(step) + 0.01 if step else 0.1)
    assert told["table"]["rows"] == len(rows(job))
    assert told["table"]["expected_cc"] + told["table"]["left_to_blend_cc"] <= 12.0


def test_the_checks_are_made_again_for_what_the_rows_leave(tmp_path):
    """R 5 is no whole count in inches: the crown stays 0.004 mm high, and so much nearer to the head."""
    changes = (
        ('control_point = "face-outer"', 'control_point = "insert-centre"'),
        ("min_head_room = 1.0", "min_head_room = 1.899"),  # of 0.2 + 0.5 + 1.2
    )
    assert run("check", edited(tmp_path, "pump-engine", *changes), "--post", "dro-table").exit_code == 0
    inch = ('post = "iso6983"', 'post = "dro-table"\nprogram_units = "inch"')
    job = edited(tmp_path, "pump-engine", *changes, inch)
    told = run("check", job)
    assert told.exit_code == 1
    assert (
        "less than engine.min_head_room is left between piston and head: 1.896 mm (limit 1.899 mm)"
        in " ".join(told.output.split())
    )
    assert [f["code"] for f in report(job)["findings"] if f["severity"] == "refused"] == ["head-room"]
    for command in (("table", job), ("make", job, "--out", tmp_path / "out", "--no-pictures")):
        done = run(*command)
        assert done.exit_code == 1
        assert "engine.min_head_room" in done.output
    assert not (tmp_path / "out").exists()


def test_a_division_of_a_z_infeed_is_a_division():
    """0.0060 in along Z is 6 divisions of 0.001 in."""
    told = [row for row in rows(job_file("tractor-pair")) if " div; " in row["how"]]
    assert told[-1]["infeed"] == "0.0060"
    assert told[-1]["how"].startswith("6 div; ")
    for row in told:
        assert float(row["how"].split(" div")[0]) == pytest.approx(float(row["infeed"]) / 0.001)


@pytest.mark.parametrize("post", POSTS)
@pytest.mark.parametrize("sample", SAMPLES)
def test_the_table_speaks_the_x_of_its_program(made, sample, post):
    told = json.loads((made(sample, post) / f"{sample}-report.json").read_text(encoding="utf-8"))
    assert told["table"]["x_reading"] == told["program"]["x_reading"]
    head = (made(sample, post) / f"{sample}-dro.txt").read_text(encoding="ascii")
    assert (" dia " in head) == (told["program"]["x_reading"] == "diameter")


@pytest.mark.parametrize("sample", SAMPLES)
def test_what_stands_over_the_first_row_is_short(sample):
    text = run("table", job_file(sample)).stdout
    assert len(text.split("\n\n")[0].splitlines()) <= 15
    assert "ramp" not in text
    assert "file them" not in text
