"""The library: what the command does, from a script."""

import re
from pathlib import Path

import pytest

from tests.sample_jobs import SAMPLES, job_file, run
from toolpath.api import InputError, StopError, load_job, make, readback, resolve
from toolpath.readings.log import beside
from toolpath.recut import Recut, Refused

README = Path(__file__).parents[1] / "README.md"


@pytest.fixture
def pump(tmp_path):
    """The set of four, where it can be made."""
    job = tmp_path / "pump.toml"
    job.write_bytes(job_file("pump-engine").read_bytes())
    return job


# the pistons of the four-valve set differ: none is made without saying which
@pytest.mark.parametrize("sample", [name for name in SAMPLES if name != "four-valve"])
def test_make_writes_what_the_command_writes(sample, tmp_path):
    job = job_file(sample)
    typed = run("make", job, "--out", tmp_path / "typed", "--no-pictures")
    done = make(load_job(job), tmp_path / "called", name=job.stem, pictures=False)
    assert typed.exit_code == 0, typed.output
    assert {p.name: p.read_bytes() for p in (tmp_path / "typed").iterdir()} == done.files
    assert {p.name: p.read_bytes() for p in (tmp_path / "called").iterdir()} == done.files


def test_a_program_is_read_back_and_a_changed_one_is_not_passed(pump, tmp_path):
    job = load_job(pump)
    done = make(job, tmp_path / "out", pictures=False)
    program = tmp_path / "out" / done.cuts
    assert readback(program, job).ok
    text = program.read_text("ascii")
    deep = re.sub(r"Z-(\d)", r"Z-1\1", text, count=1)
    assert deep != text
    program.write_text(deep, "ascii")
    assert not readback(program, job).ok


def test_a_piston_goes_through_cut_reading_and_cut_as_by_command(pump, tmp_path):
    job, log = load_job(pump), beside(pump)
    first = make(job, tmp_path / "out", stage="first", piston=2, readings=log, pictures=False)
    assert "made" in log.read_text("utf-8")
    assert run("reading", pump, "2=11.20", "--sure").exit_code == 0
    last = resolve(job, stage="last", piston=2, readings=log)
    assert isinstance(last, Recut)
    assert last.later_cut
    assert not last.stopped
    # the first program is still held against what was known when it was made
    assert readback(tmp_path / "out" / first.cuts, job, piston=2, readings=log).ok


def test_a_job_that_is_stopped_writes_nothing(pump, tmp_path):
    pump.write_text(
        pump.read_text("utf-8")
        .replace("volume_cc = 11.6", "volume_cc = 60")
        .replace("skim = 0.5", "skim = 5")
    )
    job = load_job(pump)
    found = resolve(job)
    assert isinstance(found, Refused) or found.stopped
    with pytest.raises(StopError, match="refused: "):
        make(job, tmp_path / "out", pictures=False)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"piston": 2}, "state readings, the file of the log"),
        ({"piston": 5, "readings": Path("log.csv")}, "piston 5: the set has 4"),
        ({"stage": "first"}, "stage first: needs a piston"),
    ],
    ids=["no log", "no such piston", "no piston"],
)
def test_what_cannot_be_made_says_why(pump, tmp_path, asked, said):
    with pytest.raises(InputError, match=re.escape(said)):
        make(load_job(pump), tmp_path / "out", pictures=False, **asked)
    assert not (tmp_path / "out").exists()


def test_a_postprocessor_in_place_of_the_jobs_own(pump):
    assert load_job(pump, post="system-a").machine.post == "system-a"
    with pytest.raises(InputError, match="--post nope: not known; choose from"):
        load_job(pump, post="nope")


def test_the_script_that_is_shown_makes_its_jobs(tmp_path, monkeypatch, capsys):
    """A hundred in the same way; here three, and one that is refused."""
    blocks = re.findall(r"^```python\n(.*?)^```$", README.read_text("utf-8"), re.MULTILINE | re.DOTALL)
    (script,) = (block for block in blocks if "import api" in block)
    assert sum(1 for line in script.splitlines() if line and "import" not in line) <= 10
    text = job_file("pump-engine").read_text("utf-8")
    (tmp_path / "jobs").mkdir()
    for name, volume in (("a", "11.0"), ("b", "11.3"), ("c", "11.6"), ("over", "40.0")):
        job = tmp_path / "jobs" / f"{name}.toml"
        job.write_text(text.replace("volume_cc = 11.6", f"volume_cc = {volume}"), "utf-8")
    monkeypatch.chdir(tmp_path)
    exec(script, {})
    assert capsys.readouterr().out.startswith("over.toml refused: ")
    assert {p.name for p in (tmp_path / "jobs").iterdir() if p.is_dir()} == {"a", "b", "c"}
    assert all((tmp_path / "jobs" / name / f"{name}.nc").is_file() for name in "abc")
