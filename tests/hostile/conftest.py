"""A folder with a job, the command line in process, and a look at what it left behind."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.hostile.folders import contents
from toolpath.cli.main import main


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command said and did."""

    exit_code: int
    out: str
    err: str


Run = Callable[..., Answer]


@pytest.fixture(name="run")
def _run() -> Run:
    """Run a command; a traceback in place of an answer fails the test."""

    def run(*arguments: object) -> Answer:
        result = CliRunner().invoke(main, [str(a) for a in arguments])
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Answer(result.exit_code, result.stdout, result.stderr)

    return run


@pytest.fixture(name="refused")
def _refused(run: Run, tmp_path: Path) -> Run:
    """Run a command that must be refused in plain lines, and leave every file as it was."""

    def refused(*arguments: object, exit_code: int) -> Answer:
        before = contents(tmp_path)
        answer = run(*arguments)
        assert answer.exit_code == exit_code, answer.err or answer.out
        said = answer.err if exit_code == 2 else answer.err + answer.out
        assert said.strip(), "refused without a word"
        assert "Traceback" not in said
        assert "\x1b" not in said
        assert contents(tmp_path) == before
        return answer

    return refused
