"""The options that every command on one job shares."""

import functools
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import click

if TYPE_CHECKING:
    from toolpath.recut import Stage

STAGES = ("whole", "first", "last", "next")
PATH = click.Path(path_type=Path)


class Which(NamedTuple):
    """What of a job is meant: stage, piston, and what stands in for the job's own statements."""

    stage: 'Stage | Literal["next"] | None'
    piston: str | None  # a number, a list or range, or all
    post: str | None
    shop: Path | None


def job_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options that every command on one job shares, handed over as one `which`."""

    @functools.wraps(command)
    def collected(
        *args: Any,
        stage: 'Stage | Literal["next"] | None',
        piston: str | None,
        post: str | None,
        shop: Path | None,
        **others: Any,
    ) -> None:
        command(*args, which=Which(stage, piston, post, shop), **others)

    for option in (
        click.option("--shop", type=PATH, help="Shop file; shop.toml beside the job by default."),
        click.option("--post", help="Postprocessor in place of the job's."),
        click.option(
            "--piston", metavar="N", help="Number in the set; for check and make also 1-4,6 or all."
        ),
        click.option(
            "--stage", type=click.Choice(STAGES), help="Which cut; with --piston the next one that is due."
        ),
    ):
        collected = option(collected)
    return collected
