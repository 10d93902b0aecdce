"""Generated jobs: each is refused with a stop, or gives a sound program and table.

Quick by default; the thorough run takes about half an hour on two processors:

    DISHPATH_THOROUGH=1 python -m pytest tests/jobs/test_generated.py
"""

import multiprocessing
import os
import sys
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest

from tests.jobs.generator import job_text
from tests.jobs.judged import Verdict, judged, judged_seed, read

THOROUGH = os.environ.get("DISHPATH_THOROUGH") == "1"
COUNT = 10_000 if THOROUGH else 150
MOST_REFUSED = 0.6  # of all; a generator whose jobs are all refused tests nothing
FOUND = sorted((Path(__file__).parent / "found").glob("*.toml"))


@pytest.fixture(scope="module", name="verdicts")
def _verdicts() -> list[Verdict]:
    if not THOROUGH:
        return [judged_seed(seed) for seed in range(COUNT)]
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(2, mp_context=spawn) as pool:
        return list(pool.map(judged_seed, range(COUNT), chunksize=50))


def test_generated_jobs_are_refused_or_sound(verdicts, capsys):
    with capsys.disabled():
        sys.stdout.write("\n" + "\n".join(summary(verdicts)) + "\n")
    faulty = [f"{v.name}: {fault}" for v in verdicts for fault in v.faults]
    assert not faulty, "\n".join(faulty[:50])


def test_most_generated_jobs_are_made(verdicts):
    assert sum(bool(v.refused) for v in verdicts) < MOST_REFUSED * len(verdicts)


def test_generated_jobs_cover_the_schema():
    jobs = [read(job_text(seed)) for seed in range(400)]
    assert {j.dish.form for j in jobs} == {"flat", "spherical", "tapered", "deepened", "points"}
    assert {j.existing.form for j in jobs} == {"none", "spherical", "flat", "points"}
    assert {j.machine.post for j in jobs} == {"iso6983", "system-a", "rs274ngc", "dro-table"}
    assert {j.tool.control_point for j in jobs} == {"insert-centre", "face-outer", "face-inner"}
    assert {j.machine.decimals for j in jobs} == {None, 3, 4, 5, 6}
    radii = [j.tool.insert_diameter / 2 for j in jobs]
    crowns = [j.piston.crown_diameter for j in jobs]
    assert min(radii) < 1.5
    assert max(radii) > 15
    assert min(crowns) < 32
    assert max(crowns) > 240
    assert max(j.crown.skim or 0 for j in jobs) > 2.5


def test_a_seed_always_gives_the_same_job():
    assert job_text(7) == job_text(7)
    assert job_text(7) != job_text(8)


@pytest.mark.parametrize("path", FOUND, ids=lambda path: path.stem)
def test_jobs_that_once_failed(path):
    verdict = judged(path.read_text(encoding="utf-8"), path.stem)
    assert not verdict.faults


def summary(verdicts: Iterable[Verdict]) -> list[str]:
    """How many were refused and why, how many made, and the worst of each figure."""
    verdicts = list(verdicts)
    refused = Counter(code for v in verdicts for code in v.refused)
    made = [v for v in verdicts if v.figures]
    lines = [f"{len(verdicts)} jobs: {sum(bool(v.refused) for v in verdicts)} refused, {len(made)} made"]
    lines += [f"  refused {count:6d}  {code}" for code, count in refused.most_common()]
    for key in made[0].figures if made else ():
        worst = max(made, key=lambda v: v.figures[key])
        lines.append(f"  worst {worst.figures[key]:12.6f}  {key} ({worst.name})")
    return lines
