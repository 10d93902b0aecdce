"""What tests of several folders share: plain modules beside them, the samples once made, golden files."""

import os
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests import windows as windows_stand_in

# a busy machine is slow without anything being wrong; the same examples each time, so that what passed once
# passes for everybody, and others each time where they are looked for
SLOW = [HealthCheck.too_slow]
settings.register_profile("same", deadline=None, suppress_health_check=SLOW, derandomize=True)
settings.register_profile("random", deadline=None, suppress_health_check=SLOW)
settings.load_profile("random" if os.environ.get("DISHPATH_RANDOM") else "same")

if os.environ.get("DISHPATH_WINDOWS"):
    windows_stand_in.install()
    windows_stand_in.take_away()


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--rewrite-golden` writes what the golden tests would compare."""
    parser.addoption(
        "--rewrite-golden",
        action="store_true",
        help="write golden programs, README output and README pictures anew instead of comparing them",
    )


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> None:
    """A computer with Windows, as far as it can be stood in for."""
    if not windows_stand_in.AS_WINDOWS:
        windows_stand_in.install(monkeypatch.setattr)


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
