"""A folder with a job, the command line in process, and a look at what it left behind."""

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from click.testing import CliRunner

sys.path.insert(0, str(Path(__file__).parent))

from toolpath.cli.main import main

MOST_SECONDS = 1.0


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command said and did."""

    exit_code: int
    out: str
    err: str
    seconds: float  # of this process: other work on the machine does not count


Run = Callable[..., Answer]


@pytest.fixture(name="run")
def _run() -> Run:
    """Run a command; a traceback in place of an answer fails the test."""

    def run(*arguments: object) -> Answer:
        started = time.process_time()
        result = CliRunner().invoke(main, [str(a) for a in arguments])
        seconds = time.process_time() - started
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Answer(result.exit_code, result.stdout, result.stderr, seconds)

    return run


@pytest.fixture(name="refused")
def _refused(run: Run, tmp_path: Path) -> Run:
    """Run a command that must be refused at once, in plain lines, and leave every file as it was."""

    def refused(*arguments: object, exit_code: int) -> Answer:
        before = contents(tmp_path)
        answer = run(*arguments)
        assert answer.exit_code == exit_code, answer.err or answer.out
        said = answer.err if exit_code == 2 else answer.err + answer.out
        assert said.strip(), "refused without a word"
        assert "Traceback" not in said
        assert "\x1b" not in said
        assert contents(tmp_path) == before
        assert answer.seconds < MOST_SECONDS
        return answer

    return refused


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, by name, with its bytes."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in _files(folder)}


def _files(folder: Path) -> Iterator[Path]:
    return (p for p in sorted(folder.rglob("*")) if p.is_file() and not p.is_symlink())
