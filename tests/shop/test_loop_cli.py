"""A set of four on the real command line, from the starter job to the record, and commands killed half-way.

Quick: some twenty kills, three writers at once. DISHPATH_THOROUGH=1: a thousand, and eight.
"""

import csv
import json
import os
import random
import re
import subprocess
import sys
import time
from itertools import count
from pathlib import Path

import pytest
from pypdf import PdfReader

from toolpath.shop.readings import HEADING, beside, load

ROOT = Path(__file__).parents[2]
THOROUGH = os.environ.get("DISHPATH_THOROUGH") == "1"
KILLS = 1000 if THOROUGH else 20
MAKE_KILLS = 100 if THOROUGH else 8
WRITERS = 8 if THOROUGH else 3
STORED = re.compile(r"piston (\d+) after first: (\S+) stored as reading (\d+) in job-readings\.csv\n")


def started(*arguments: object) -> "subprocess.Popen[str]":
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "toolpath", *map(str, arguments)]
    pipe = subprocess.PIPE
    return subprocess.Popen(command, stdout=pipe, stderr=pipe, env=environment, text=True)


def dishpath(*arguments: object, exit_code: int = 0) -> str:
    process = started(*arguments)
    out, err = process.communicate(timeout=120)
    assert process.returncode == exit_code, err or out
    return out if exit_code == 0 else err


@pytest.fixture(name="job")
def _job(tmp_path: Path) -> Path:
    job = tmp_path / "job.toml"
    dishpath("new", job, "--like", "pump-engine")
    return job


def report(job: Path, piston: int, stage: str) -> dict:
    return json.loads((job.parent / "job" / f"job-p{piston}-{stage}-report.json").read_text(encoding="utf-8"))


def program(job: Path, piston: int, stage: str) -> str:
    return (job.parent / "job" / f"job-p{piston}-{stage}.nc").read_text(encoding="ascii")


def test_a_set_of_four_from_new_to_the_record(job: Path) -> None:
    """Each piston is a little off its own way; the volumes are what a burette with 0.05 cc lines would say."""
    finished = {}
    for piston, (received, off) in enumerate([(9.25, 0.05), (9.3, -0.05), (9.4, 0.0), (9.2, -0.1)], 1):
        dishpath("reading", job, "--piston", piston, received, "--after", "as-received")
        dishpath("make", job, "--piston", piston, "--stage", "last", exit_code=2)  # nothing to correct yet
        dishpath("make", job, "--piston", piston, "--stage", "first", "--no-pictures")
        first = report(job, piston, "first")
        assert first["volume"]["as_received_cc"] == pytest.approx(received, abs=1e-3)
        assert first["expected"]["volume_cc"] + 2 * first["expected"]["u_cc"] < 11.6
        assert first["plan"]["passes_skim"] == 2
        read = round((first["expected"]["volume_cc"] + off) / 0.05) * 0.05
        said = dishpath("reading", job, "--piston", piston, f"{read:.2f}")
        assert f"piston {piston} after first: {read:g} stored" in said
        dishpath("make", job, "--piston", piston, "--stage", "last", "--no-pictures")
        last = report(job, piston, "last")
        assert last["expected"]["volume_cc"] == pytest.approx(11.6, abs=0.02)
        assert last["plan"]["passes_skim"] == 0
        assert last["removed"]["volume_cc"] == pytest.approx(11.6 - read, abs=0.06)
        assert last["plan"]["feed_in_metal_share"] > 0.5
        assert "FINISHED crown" in program(job, piston, "last")
        finished[piston] = round(11.6 + off / 5, 2)
        dishpath("reading", job, "--piston", piston, finished[piston])
    kept = load(beside(job)).readings
    assert [(r.piston, r.after) for r in kept] == [
        (piston, after) for piston in (1, 2, 3, 4) for after in ("as-received", "first", "last")
    ]
    found = json.loads(dishpath("set", job, "--json", "--record", job.with_name("record.pdf")))
    assert [p["final_cc"] for p in found["pistons"]] == pytest.approx(list(finished.values()))
    assert [p["next"] for p in found["pistons"]] == ["done"] * 4
    assert found["spread_cc"] == pytest.approx(0.03)
    text = " ".join(page.extract_text() for page in PdfReader(job.with_name("record.pdf")).pages)
    assert "4 of 4 pistons" in text
    assert re.findall(r"^[1-4] .* within$", text, re.MULTILINE)[3].startswith("4 9.20 ")


def test_the_common_target_is_cut_after_one_piston_went_over(job: Path) -> None:
    """Piston 1 is over: the set says what all can meet; the job with that target cuts piston 2 to it."""
    for piston, read in ((1, "11.75"), (2, "11.40")):
        dishpath("reading", job, "--piston", piston, "9.3", "--after", "as-received")
        dishpath("reading", job, "--piston", piston, read, "--sure")
    found = json.loads(dishpath("set", job, "--json"))
    assert found["common_target_cc"] == pytest.approx(11.75)
    assert "over by 0.15 cc" in found["pistons"][0]["next"]
    assert "nothing is left to cut" in dishpath("make", job, "--piston", 1, "--stage", "last", exit_code=1)
    text = job.read_text(encoding="utf-8")
    job.write_text(re.sub(r"^volume_cc = 11\.6 ", "volume_cc = 11.75 ", text, flags=re.M), encoding="utf-8")
    dishpath("make", job, "--piston", 2, "--stage", "last", "--no-pictures")
    made = report(job, 2, "last")
    assert made["volume"]["target_cc"] == pytest.approx(11.75)
    assert made["expected"]["volume_cc"] == pytest.approx(11.75, abs=0.02)
    assert made["removed"]["volume_cc"] == pytest.approx(0.35, abs=0.06)


def test_killed_at_any_moment_a_reading_that_was_said_is_stored(job: Path) -> None:
    """Several write at once and one of them is killed, in turn anywhere and just as the file grows."""
    rng = random.Random(385)
    place = beside(job)
    began = time.monotonic()
    dishpath("reading", job, "--piston", 1, "--after", "first", "--sure", "11.0")
    usual = time.monotonic() - began
    said = {1: ("1", "11")}
    values = count(1)
    for kill in range(KILLS):
        size = place.stat().st_size
        writers = []
        for k in range(WRITERS):
            value = f"{11 + next(values) / 10_000:.4f}"
            arguments = ("--piston", k % 4 + 1, "--after", "first", "--sure", "--note", f"kill {kill}", value)
            writers.append(started("reading", job, *arguments))
        if kill % 2:
            time.sleep(rng.uniform(0, 1.5 * usual))
        else:
            while place.stat().st_size == size and any(w.poll() is None for w in writers):
                time.sleep(0.0005)
        writers[kill % WRITERS].kill()
        for k, writer in enumerate(writers):
            out, err = writer.communicate(timeout=120)
            assert k == kill % WRITERS or writer.returncode == 0, err
            if match := STORED.fullmatch(out):
                said[int(match[3])] = (match[1], match[2])
    kept = {r.number: (str(r.piston), f"{r.shown:g}") for r in load(place).readings}
    assert {number: kept[number] for number in said} == said
    assert len(said) >= KILLS * (WRITERS - 1)
    assert f"as reading {max(kept) + 1} " in dishpath(
        "reading", job, "--piston", 1, "--after", "first", "--sure", "11.1"
    )
    rows = list(csv.reader(place.read_text(encoding="utf-8").splitlines()))
    assert ",".join(rows[0]) == HEADING
    assert {len(row) for row in rows} == {len(rows[0])}


def test_make_killed_at_any_moment_leaves_no_torn_file(job: Path) -> None:
    """What stands in the folder is whole: from this run or from the one before; the next run works."""
    folder = job.parent / "job"
    text = job.read_text(encoding="utf-8")
    versions = []
    for feed in ("0.10", "0.12"):
        job.write_text(re.sub(r"^feed = 0\.10 ", f"feed = {feed} ", text, flags=re.M), encoding="utf-8")
        began = time.monotonic()
        dishpath("make", job, "--no-pictures")
        usual = time.monotonic() - began
        versions.append({p.name: p.read_bytes() for p in folder.iterdir()})
    assert versions[0]["job.nc"] != versions[1]["job.nc"]
    rng = random.Random(6983)
    for kill in range(MAKE_KILLS):
        feed = ("0.10", "0.12")[kill % 2]
        job.write_text(re.sub(r"^feed = 0\.10 ", f"feed = {feed} ", text, flags=re.M), encoding="utf-8")
        process = started("make", job, "--no-pictures")
        if kill % 4 < 2:
            time.sleep(rng.uniform(0, usual))
        else:
            while process.poll() is None and not any(p.suffix == ".part" for p in folder.iterdir()):
                time.sleep(0.0005)
            time.sleep(rng.uniform(0, 0.01))
        process.kill()
        process.communicate(timeout=120)
        for name in versions[0]:
            assert (folder / name).read_bytes() in (versions[0][name], versions[1][name])
        assert {p.name for p in folder.iterdir() if not p.name.startswith(".")} == set(versions[0])
    job.write_text(text, encoding="utf-8")
    dishpath("make", job, "--no-pictures")
    assert {name: (folder / name).read_bytes() for name in versions[0]} == versions[0]
