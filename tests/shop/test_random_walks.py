"""Random walks of twenty commands over two sets in one folder, with true pistons beside them.

No step may leave a piston over its tolerance of which nothing was said, and what a command stored is what the next
one finds. Quick: 100 walks, where a program is a file of its facts; DISHPATH_THOROUGH=1: 2,000, with whole files.
"""

import os
from pathlib import Path

import pytest

from tests.shop.walker import Walk, watched
from toolpath.matching.summary import known_of, set_summary
from toolpath.readings.log import Log
from toolpath.readings.replay import standing

THOROUGH = os.environ.get("DISHPATH_THOROUGH") == "1"
WALKS, BATCHES, COMMANDS = (2000 if THOROUGH else 100), 10, 20


def walked(seed: int, place: Path, patch: pytest.MonkeyPatch) -> Walk:
    place.mkdir()
    walk = Walk(place, seed)
    watched(walk, patch, real_files=THOROUGH)
    for _ in range(COMMANDS):
        walk.step()
        for job in walk.jobs:
            walk.same_state(job)
    return walk


@pytest.mark.parametrize("batch", range(BATCHES))
def test_no_walk_cuts_a_piston_over_its_tolerance_in_silence(
    batch: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sums: dict[str, int] = {}
    for seed in range(batch, WALKS, BATCHES):
        with monkeypatch.context() as patch:
            walk = walked(seed, tmp_path / str(seed), patch)
        for name, count in walk.counts.items():
            sums[name] = sums.get(name, 0) + count
    print(sums)  # noqa: T201
    assert sums["cuts"] > WALKS / BATCHES  # it walks
    assert sums["refused"] > 0


@pytest.mark.parametrize("seed", range(5))
def test_the_log_replays_to_the_same_state(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Summary and standing from what was stored in memory, and from a fresh load."""
    with monkeypatch.context() as patch:
        walk = walked(1000 + seed, tmp_path / "walk", patch)
    for job in walk.jobs:
        work = walk.work(job)
        mirror = Log(tuple(walk.mirror[job]), None, work.log.last_number)
        fresh, kept = set_summary(work.job, work.log), set_summary(work.job, mirror)
        assert [(r.due, r.next) for r in fresh.rows] == [(r.due, r.next) for r in kept.rows]
        for row in fresh.rows:
            n = row.measured.piston
            design = work.design(n)
            a = standing(design, work.log.history(n), known_of(design, work.log, n))
            b = standing(design, mirror.history(n), known_of(design, mirror, n))
            assert float(a.progress.volume().mean) == pytest.approx(float(b.progress.volume().mean), abs=1e-3)
            assert a.cut_depth == pytest.approx(b.cut_depth, abs=1e-5)
            assert len(a.waiting) == len(b.waiting)
