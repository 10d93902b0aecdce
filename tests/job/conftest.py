"""A least job as keys and TOML literals, and ways to change and read it."""

from collections.abc import Callable

import pytest

from toolpath.errors import InputError
from toolpath.job.load import load
from toolpath.job.model import Job

LEAST = {
    "units": '"mm"',
    "piston.crown_diameter": "90.4",
    "existing.form": '"none"',
    "dish.form": '"flat"',
    "dish.volume_cc": "11.6",
    "dish.mouth_diameter": "68",
    "tool.insert": '"RCGT 10T3 M0"',
    "cutting.fixed_rpm": "1100",
    "cutting.feed": "0.1",
    "cutting.skim_depth_of_cut": "0.25",
    "cutting.dish_depth_of_cut": "0.5",
    "machine.post": '"iso6983"',
}


def _insert_radius(designation: str) -> float:
    if not designation.startswith("R"):
        raise InputError(f"{designation} is not round; a round insert, shape R, is needed")
    return 5.0


def job_text(changes: dict[str, str | None] | None = None) -> str:
    """The least job with some keys changed, added, or (None) taken away, as dotted TOML keys."""
    keys: dict[str, str | None] = LEAST | (changes or {})
    return "\n".join(f"{key} = {literal}" for key, literal in keys.items() if literal is not None)


def read(text: str, *, shop: str | None = None) -> Job:
    """The job read as the command line would, with a few known names."""
    return load(
        text,
        name="job.toml",
        known_materials=frozenset({"aluminium-silicon", "cast-iron"}),
        known_posts=frozenset({"iso6983", "dro-table"}),
        insert_radius=_insert_radius,
        shop=shop,
    )


def faults_of(text: str, *, shop: str | None = None) -> tuple[str, ...]:
    """The faults that reading the text raises."""
    with pytest.raises(InputError, match=r"\.toml: ") as caught:
        read(text, shop=shop)
    return caught.value.faults


@pytest.fixture(name="job_text")
def _job_text() -> Callable[..., str]:
    return job_text


@pytest.fixture(name="read")
def _read() -> Callable[..., Job]:
    return read


@pytest.fixture(name="faults_of")
def _faults_of() -> Callable[..., tuple[str, ...]]:
    return faults_of
