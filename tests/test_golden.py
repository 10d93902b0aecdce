"""Programs, tables and screens of the samples, and a last cut, byte for byte; `--rewrite-golden` writes them anew.

A difference is not a fault by itself: read it as you would read a program before running it.
"""

from pathlib import Path

import pytest

from tests.jobs.judged import read
from tests.sample_jobs import POSTS, SAMPLES, job_file, run
from toolpath.program.by_hand import table_of
from toolpath.program.text import made as made_text
from toolpath.readings.log import Reading
from toolpath.recut import resolve

GOLDEN = Path(__file__).parent / "golden"
SCREEN = "check"  # folder of what is said on the terminal
LAST = "last-cut"  # folder of the last cuts, which are told about their zero
ZEROS = ("kept", "noted", "fresh")


def held(written: bytes, golden: Path, rewriting: bool) -> None:
    """What was written is the golden file, or becomes it."""
    if rewriting:
        golden.parent.mkdir(parents=True, exist_ok=True)
        golden.write_bytes(written)
    assert written.decode().splitlines() == golden.read_text(encoding="ascii").splitlines()
    assert written == golden.read_bytes()


@pytest.mark.parametrize("post", POSTS)
@pytest.mark.parametrize("sample", SAMPLES)
def test_golden(sample, post, made, rewriting):
    ending = "-dro.txt" if post == "dro-table" else ".nc"
    for name in (f"{sample}-dro.csv", f"{sample}{ending}"):
        held((made(sample, post) / name).read_bytes(), GOLDEN / post / name, rewriting)


@pytest.mark.parametrize("zero", ZEROS)
def test_golden_of_a_last_cut(zero, rewriting):
    """The second piston of the pump engine, read 0.04 cc under what its first cut was to leave."""
    job = read(job_file("pump-engine").read_text().replace('zero = "noted"', f'zero = "{zero}"'))
    assert job.zero == zero
    left = resolve(job, stage="first", piston=2).next_cut.expected.volume - 40.0
    last = resolve(job, stage="last", piston=2, readings=[Reading(2, "first", "burette", left)])
    held(made_text(last).text.encode(), GOLDEN / LAST / f"{zero}.nc", rewriting)
    held(table_of(last).text.encode(), GOLDEN / LAST / f"{zero}-dro.txt", rewriting)


@pytest.mark.parametrize("sample", SAMPLES)
def test_golden_screen(sample, rewriting):
    """All that `check` says of one cut without a reading, and of the first cut of a piston."""
    asked = (("--stage", "whole", "--all"), ("--stage", "first", "--piston", "1"))
    shown = [run("check", job_file(sample), *words) for words in asked]
    held("\n".join(done.output for done in shown).encode(), GOLDEN / SCREEN / f"{sample}.txt", rewriting)


def test_no_golden_file_is_left_over():
    kept = {path.relative_to(GOLDEN).as_posix() for path in GOLDEN.rglob("*") if path.is_file()}
    tables = {f"{post}/{sample}-dro.csv" for post in POSTS for sample in SAMPLES}
    programs = {f"{post}/{sample}.nc" for post in POSTS if post != "dro-table" for sample in SAMPLES}
    printed = {f"dro-table/{sample}-dro.txt" for sample in SAMPLES}
    last = {f"{LAST}/{zero}{ending}" for zero in ZEROS for ending in (".nc", "-dro.txt")}
    screens = {f"{SCREEN}/{sample}.txt" for sample in SAMPLES}
    assert kept == tables | programs | printed | screens | last
