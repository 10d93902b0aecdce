"""Eight of the same command at once, killed at any moment: nothing torn, nothing lost that was acknowledged.

Quick: some two dozen kills of each. DISHPATH_KILLS=1000: so many of each, about ten minutes on two processors.
"""

import csv
import os
import random
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import count
from pathlib import Path

import pytest

from tests.shop.command_line import dishpath, started
from tests.windows import AS_WINDOWS
from toolpath.output.disk import PREFIX
from toolpath.readings.log import beside, load
from toolpath.readings.logtext import HEADING

KILLS = int(os.environ.get("DISHPATH_KILLS", "24"))
WRITERS = 8
STORED = re.compile(r"piston (\d+) after first: (\S+) cc stored as reading (\d+) in job-readings\.csv\n")
Processes = list[subprocess.Popen[str]]

pytestmark = pytest.mark.skipif(AS_WINDOWS, reason="there is no SIGKILL")


@pytest.fixture(name="job")
def _job(tmp_path: Path) -> Path:
    job = tmp_path / "job.toml"
    dishpath("new", job, "--like", "pump-engine")
    return job


def struck(
    processes: Processes, rng: random.Random, span: float, place: Path, writing: Callable[[], bool] | None
) -> tuple[int, int]:
    """Kill each at a moment of its own within `span` seconds, of the start or of the first writing seen.

    Answers with the kills, and with those that held `place` open: writing, or waiting for their turn.
    """
    began = time.monotonic()
    while writing and not writing() and any(p.poll() is None for p in processes):
        time.sleep(0.0005)
    if writing:
        began, span = time.monotonic(), 0.05
    inside = dict.fromkeys(range(len(processes)), False)
    moments = sorted((rng.uniform(0, span), k) for k in range(len(processes)))
    for moment, k in moments:
        time.sleep(max(0.0, began + moment - time.monotonic()))
        processes[k].send_signal(signal.SIGSTOP)
        inside[k] = holds(processes[k].pid, place)
        processes[k].kill()
    dead = [p.wait(timeout=120) == -signal.SIGKILL for p in processes]
    return sum(dead), sum(inside[k] for k, killed in enumerate(dead) if killed)


def holds(pid: int, place: Path) -> bool:
    """Whether a process has a file or folder open; never where there is no /proc to tell."""
    try:
        return any(os.readlink(handle) == str(place) for handle in Path(f"/proc/{pid}/fd").iterdir())
    except OSError:
        return False


def said(text: str) -> None:
    sys.stdout.write(f"\n{text}\n")


def test_a_reading_that_was_acknowledged_is_stored(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rng, place, values = random.Random(385), beside(job), count(1)
    kept: dict[int, tuple[str, str]] = {}

    def round_of(kill: bool, watched: bool) -> tuple[int, int]:
        size = place.stat().st_size if place.exists() else 0
        writers = [
            started(
                *("reading", job, "--piston", k % 4 + 1, "--after", "first", "--sure"),
                f"{11 + next(values) / 10_000:.4f}",
            )
            for k in range(WRITERS)
        ]
        grown = (lambda: place.exists() and place.stat().st_size > size) if watched else None
        dead = struck(writers, rng, span, place, grown) if kill else (0, 0)
        for writer in writers:
            out, err = writer.communicate(timeout=120)
            assert writer.returncode in (0, -signal.SIGKILL), err
            if match := STORED.fullmatch(out):
                assert int(match[3]) not in kept
                kept[int(match[3])] = (match[1], match[2])
        return dead

    began, span = time.monotonic(), 0.0
    round_of(kill=False, watched=False)
    span = 1.2 * (time.monotonic() - began)
    kills = inside = rounds = 0
    while kills < KILLS:
        dead, holding = round_of(kill=True, watched=bool(rounds % 2))
        kills, inside, rounds = kills + dead, inside + holding, rounds + 1
    loaded = load(place)
    assert loaded.torn is None
    stored = {r.number: (str(r.piston), f"{r.shown:g}") for r in loaded.readings}
    unsaid = len(stored) - len(kept)
    assert len(kept) >= WRITERS  # the first round was not killed
    assert {number: stored[number] for number in kept} == kept
    assert len(set(stored.values())) == len(stored)  # every writer had a value of its own
    assert f"as reading {max(stored) + 1} " in dishpath(
        "reading", job, "--piston", 1, "--after", "first", "--sure", "11.1"
    )
    rows = list(csv.reader(place.read_text(encoding="utf-8").splitlines()))
    assert ",".join(rows[0]) == HEADING
    assert {len(row) for row in rows} == {len(rows[0])}
    with capsys.disabled():
        said(
            f"reading: {kills} kills in {rounds} rounds, {inside} with the file open; "
            f"{len(kept)} acknowledged, {unsaid} stored before they could say so"
        )


def test_a_killed_make_leaves_whole_files(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What stands in the folder is whole and of one run, all of it where the program is; the next run tidies up."""
    folder, rng = job.parent / "job", random.Random(6983)
    text = job.read_text(encoding="utf-8")

    def with_feed(feed: str) -> None:
        job.write_text(re.sub(r"^feed = 0\.10 ", f"feed = {feed} ", text, flags=re.M), encoding="utf-8")

    def parts() -> int:
        return sum(name.startswith(PREFIX) for name in os.listdir(folder))

    def all_at_once() -> Processes:
        return [started("make", job, "--no-pictures") for _ in range(WRITERS)]

    feeds, versions = ("0.10", "0.12"), []
    for feed in feeds:
        with_feed(feed)
        began = time.monotonic()
        for maker in all_at_once():
            maker.communicate(timeout=120)
            assert maker.returncode == 0
        span = 1.1 * (time.monotonic() - began)
        versions.append({p.name: p.read_bytes() for p in folder.iterdir()})
    assert versions[0].keys() == versions[1].keys()
    assert versions[0]["job.nc"] != versions[1]["job.nc"]
    kills = inside = rounds = halves = partly = 0
    while kills < KILLS:
        with_feed(feeds[rounds % 2])
        watched = (lambda: bool(parts())) if rounds % 4 >= 2 else None
        makers = all_at_once()
        dead, holding = struck(makers, rng, span, folder, watched)
        kills, inside, rounds = kills + dead, inside + holding, rounds + 1
        for maker in makers:
            _, err = maker.communicate(timeout=120)
            assert maker.returncode in (0, -signal.SIGKILL), err
        halves += bool(parts())
        now = {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.startswith(PREFIX)}
        assert any(now.items() <= version.items() for version in versions)
        assert "job.nc" not in now or now in versions
        partly += now not in versions
    job.write_text(text, encoding="utf-8")
    dishpath("make", job, "--no-pictures")
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == versions[0]
    with capsys.disabled():
        said(
            f"make: {kills} kills in {rounds} rounds, {inside} with the folder open; "
            f"{halves} left parts behind, {partly} no program"
        )
