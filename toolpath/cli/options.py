"""The options that every command on one job shares."""

import functools
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from toolpath.recut import Stage

STAGES = ("whole", "first", "last")
PATH = click.Path(path_type=Path)


@dataclass(frozen=True, slots=True)
class Which:
    """What of a job is meant: stage, piston, and what stands in for the job's own statements."""

    stage: "Stage"
    piston: int | None
    post: str | None
    shop: Path | None


def job_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options that every command on one job shares, handed over as one `which`."""

    @functools.wraps(command)
    def collected(
        *args: Any, stage: "Stage", piston: int | None, post: str | None, shop: Path | None, **others: Any
    ) -> None:
        command(*args, which=Which(stage, piston, post, shop), **others)

    for option in (
        click.option("--shop", type=PATH, help="Shop file; shop.toml beside the job by default."),
        click.option("--post", help="Postprocessor in place of the job's."),
        click.option("--piston", type=click.IntRange(min=1), help="Number of the piston in the set."),
        click.option("--stage", type=click.Choice(STAGES), default="whole", show_default=True),
    ):
        collected = option(collected)
    return collected
