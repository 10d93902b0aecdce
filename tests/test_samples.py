"""Every sample in every dialect through the command line, and its programs in the eyes of others."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from pygcode import Line as ReadLine

from postprocessors import find
from tests.nist_rules import faults
from tests.sample_jobs import DIALECTS, POSTS, SAMPLES, job_file, make, run
from toolpath.api import load_job
from toolpath.job.model import Job
from toolpath.output.files import read_again
from toolpath.readback.motions import Motion
from toolpath.readback.reader import read
from toolpath.recut import Recut, resolve

every_sample = pytest.mark.parametrize("sample", SAMPLES)
every_dialect = pytest.mark.parametrize("post", DIALECTS)
every_post = pytest.mark.parametrize("post", POSTS)

ROOT = Path(__file__).parents[1]
DEEPER = 0.3  # mm by which a block is edited


def inch(job: Job) -> float:
    """One unit of the program in mm."""
    return 25.4 if job.machine.program_units == "inch" else 1.0


# ---- make --------------------------------------------------------------------------------------


@every_sample
@every_post
def test_make_leaves_what_the_contract_names(sample, post, made):
    names = {"-dro.txt", "-dro.csv", "-report.json"} | ({".nc"} if post != "dro-table" else set())
    assert {path.name for path in made(sample, post).iterdir()} == {sample + name for name in names}


@every_sample
@every_post
def test_the_report_agrees_with_its_own_readback(sample, post, made):
    report = json.loads((made(sample, post) / f"{sample}-report.json").read_text(encoding="utf-8"))
    job = load_job(job_file(sample))
    aimed = report["table"]["expected_cc"] if post == "dro-table" else report["volume"]["target_cc"]
    assert abs(report["readback"]["volume_cc"] - aimed) < job.dish.tolerance / 1000
    assert report["program"]["file"] == (None if post == "dro-table" else f"{sample}.nc")
    assert not [found for found in report["findings"] if found["severity"] == "refused"]


@every_sample
@every_post
def test_making_twice_gives_the_same_bytes(sample, post, made, tmp_path):
    again = make(sample, post, tmp_path / "again", "--no-pictures")
    assert again == {path.name: path.read_bytes() for path in made(sample, post).iterdir()}


def test_pictures_are_the_same_bytes_in_another_process(tmp_path):
    files = []
    for seed in ("1", "2"):  # sets and dicts of names in another order
        command = [sys.executable, "-m", "toolpath", "make", str(job_file("pump-engine")), "--out", seed]
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)}
        subprocess.run(command, cwd=tmp_path, env=environment, check=True, capture_output=True)
        files.append({path.name: path.read_bytes() for path in (tmp_path / seed).iterdir()})
    first, second = files
    assert {f"pump-engine{ending}" for ending in (".nc", ".html", "-sheet.pdf")} <= first.keys()
    assert first == second


# ---- readback ----------------------------------------------------------------------------------


@every_sample
@every_dialect
def test_readback_of_what_was_made(sample, post, made):
    program = made(sample, post) / f"{sample}.nc"
    done = run("readback", program, "--job", job_file(sample), "--post", post)
    assert done.exit_code == 0, done.output


@every_sample
@every_post
def test_readback_of_the_table(sample, post, made):
    table = made(sample, post) / f"{sample}-dro.csv"
    done = run("readback", table, "--job", job_file(sample), "--post", post)
    assert done.exit_code == 0, done.output


def cuts(lines: list[str]) -> list[int]:
    """Index of every block that cuts along: arcs, and straight lines that stay at their Z."""
    found, level = [], ""
    for index, line in enumerate(lines):
        word = re.search(r" Z(\S+)", line)
        if word is None or line.startswith("("):
            continue
        if line.startswith(("G02", "G03")) or (line.startswith("G01") and word[1] == level):
            found.append(index)
        level = word[1]
    return found


def deepened(lines: list[str], index: int, by: float) -> str:
    """The program with the Z of one block deeper by that much."""
    edited = re.sub(r"Z(\S+)", lambda word: f"Z{float(word[1]) - by:.5f}", lines[index], count=1)
    return "\n".join([*lines[:index], edited, *lines[index + 1 :]])


@pytest.fixture(scope="module")
def resolved():
    """Resolves a sample for a dialect."""

    def resolve_it(sample: str, post: str) -> Recut:
        return resolve(load_job(job_file(sample), post=post))

    return resolve_it


@every_sample
@every_dialect
def test_every_deepened_cut_is_refused_by_its_line(sample, post, made, resolved):
    recut = resolved(sample, post)
    lines = (made(sample, post) / f"{sample}.nc").read_text(encoding="ascii").split("\n")
    where = cuts(lines)
    assert len(where) >= 10
    for index in where:
        text = deepened(lines, index, DEEPER / inch(recut.job))
        back = read_again(recut, text.encode("ascii"), f"{sample}.nc")
        assert not back.ok, lines[index]
        # an arc or a level that starts from the edited end may be the first to go wrong
        assert back.worst_line in (index + 1, index + 2), lines[index]


@every_sample
@every_dialect
def test_the_command_names_the_line_of_a_deepened_cut(sample, post, made, tmp_path):
    lines = (made(sample, post) / f"{sample}.nc").read_text(encoding="ascii").split("\n")
    index = next(n for n in reversed(cuts(lines)) if lines[n].startswith("G01"))  # the finished floor
    edited = tmp_path / "edited.nc"
    edited.write_text(deepened(lines, index, DEEPER / inch(load_job(job_file(sample)))), encoding="ascii")
    done = run("readback", edited, "--job", job_file(sample), "--post", post)
    assert done.exit_code == 1
    assert f"line {index + 1} " in done.output


# ---- in the eyes of others ---------------------------------------------------------------------


def general_ends(text: str, x_unit: float, unit: float) -> list[tuple[int, str, float, float]]:
    """Line, word and end of every motion in mm, X a radius, as pygcode (a general reader) finds them."""
    x = z = None
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        if line.startswith("O"):  # a program number is no word of RS274/NGC
            continue
        for code in ReadLine(line).block.gcodes:
            if str(code.word) not in ("G00", "G01", "G02", "G03"):
                continue
            x = x if code.X is None else code.X * x_unit
            z = z if code.Z is None else code.Z * unit
            if x is not None and z is not None:
                found.append((number, str(code.word), x, z))
    return found


def word_of(motion: Motion) -> str:
    if not motion.radius:
        return "G00" if motion.rapid else "G01"
    # x to the right and z upwards is the plane seen from -Y, where clockwise (G02) looks the other way round
    return "G02" if motion.sweep > 0 else "G03"


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::SyntaxWarning")
@every_sample
@every_dialect
def test_a_general_reader_finds_the_same_ends(sample, post, made, resolved):
    recut = resolved(sample, post)
    job, radius = recut.job, recut.insert.radius
    text = (made(sample, post) / f"{sample}.nc").read_text(encoding="ascii")
    x_reading = json.loads((made(sample, post) / f"{sample}-report.json").read_text())["program"]["x_reading"]
    ours = read(
        text,
        dialect=find(post).READS_AS,
        units=job.machine.program_units,
        x_reading=x_reading,
        control_point=job.tool.control_point,
        insert_radius=radius,
    )
    assert not ours.faults
    # from the control point to the insert centre, by the words of the job file's own vocabulary
    dx, dz = {"insert-centre": (0, 0), "face-outer": (-radius, radius), "face-inner": (radius, radius)}[
        job.tool.control_point
    ]
    unit = inch(job)
    ends = general_ends(text, unit / 2 if x_reading == "diameter" else unit, unit)
    assert [(n, word) for n, word, _, _ in ends] == [(m.line, word_of(m)) for m in ours.motions]
    for (_, _, x, z), motion in zip(ends, ours.motions, strict=True):
        assert (x + dx, z + dz) == pytest.approx((motion.x2, motion.z2), abs=1e-9)


@every_sample
def test_rs274ngc_keeps_the_report(sample, made):
    assert faults((made(sample, "rs274ngc") / f"{sample}.nc").read_text(encoding="ascii")) == []


@every_sample
def test_system_a_has_no_cycle_for_a_mode(sample, made):
    text = (made(sample, "system-a") / f"{sample}.nc").read_text(encoding="ascii")
    blocks = re.sub(r"\(.*\)", "", text)
    assert not re.search(r"G0*9[024]\b", blocks)
    assert {"G50", "G99"} <= set(re.findall(r"G\d+", blocks)) or "G96" not in blocks


def test_a_sheet_of_an_earlier_run_is_named(tmp_path):
    for name in ("pump-engine-sheet.pdf", "pump-engine-p1-first-sheet.pdf"):
        (tmp_path / name).write_bytes(b"old")
    done = run("make", job_file("pump-engine"), "--no-pictures", "--out", tmp_path)
    assert done.exit_code == 0
    said = [line for line in done.output.splitlines() if "from before" in line]
    assert said == [f"{tmp_path / 'pump-engine-sheet.pdf'}: is from before; do not use it with these"]
