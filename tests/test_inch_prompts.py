"""The prompts for readings of an inch job ask in inches."""

from pathlib import Path

import click
import pytest

from tests.sample_jobs import job_file
from toolpath.api import load_job
from toolpath.cli.asked import asked
from toolpath.cli.work import Opened, log_of


def test_a_noted_zero_is_asked_for_in_inches(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A plain number counts in the job's units, while the prompt once said mm."""
    place = tmp_path / "pair.toml"
    text = job_file("tractor-pair").read_text(encoding="utf-8") + '\n[setup]\nzero = "noted"\n'
    place.write_text(text, encoding="utf-8")
    prompts: list[str] = []

    def prompt(words: str, **others: object) -> str:
        prompts.append(words)
        return ""

    monkeypatch.setattr(click, "prompt", prompt)
    assert list(asked(Opened(place, load_job(place), log_of(place)))) == []
    zero = [words for words in prompts if "absolute zero" in words]
    assert len(zero) == 2
    assert all("[in, Enter skips]" in words for words in zero)
    assert not any(" mm" in words or "[mm" in words for words in prompts)
