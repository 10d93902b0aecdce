"""Programs and tables of the samples, byte for byte; `--rewrite-golden` writes them anew.

A difference is not a fault by itself: read it as you would read a program before running it.
"""

from pathlib import Path

import pytest

from tests.sample_jobs import POSTS, SAMPLES

GOLDEN = Path(__file__).parent / "golden"


@pytest.mark.parametrize("post", POSTS)
@pytest.mark.parametrize("sample", SAMPLES)
def test_golden(sample, post, made, rewriting):
    names = [f"{sample}-dro.csv"] + ([] if post == "dro-table" else [f"{sample}.nc"])
    for name in names:
        written, golden = (made(sample, post) / name).read_bytes(), GOLDEN / post / name
        if rewriting:
            golden.parent.mkdir(parents=True, exist_ok=True)
            golden.write_bytes(written)
        assert written.decode().splitlines() == golden.read_text(encoding="ascii").splitlines()
        assert written == golden.read_bytes()


def test_no_golden_file_is_left_over():
    kept = {path.relative_to(GOLDEN).as_posix() for path in GOLDEN.rglob("*") if path.is_file()}
    tables = {f"{post}/{sample}-dro.csv" for post in POSTS for sample in SAMPLES}
    programs = {f"{post}/{sample}.nc" for post in POSTS if post != "dro-table" for sample in SAMPLES}
    assert kept == tables | programs
