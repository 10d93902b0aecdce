"""What tests of several folders share: plain modules beside them, the samples once made, golden files."""

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# a busy machine is slow without anything being wrong
settings.register_profile("patient", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("patient")


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--rewrite-golden` writes what the golden tests would compare."""
    parser.addoption(
        "--rewrite-golden",
        action="store_true",
        help="write golden programs, README output and README pictures anew instead of comparing them",
    )


@pytest.fixture
def rewriting(request: pytest.FixtureRequest) -> bool:
    """True where golden files are to be written and not compared."""
    return bool(request.config.getoption("--rewrite-golden"))


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, str], Path]:
    """`made(sample, post)`: the folder of that sample, made once a session without pictures."""
    from tests.sample_jobs import make

    @cache
    def once(sample: str, post: str) -> Path:
        place = tmp_path_factory.mktemp(f"{sample}-{post}-")
        make(sample, post, place, "--no-pictures")
        return place

    return once
