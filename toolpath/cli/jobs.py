"""Commands beside a cut: new, schema, centre."""

import sys
from pathlib import Path

import click

from toolpath.cli.opening import as_json_text, put
from toolpath.cli.options import PATH
from toolpath.errors import InputError


@click.command()
@click.argument("job", type=PATH)
@click.option("--like", help="A sample to start from, by name.")
def new(job: Path, like: str | None) -> None:
    """Write a commented starter job; never overwrites.

    Example: dishpath new pump.toml --like tractor-pair
    """
    from shlex import quote

    from toolpath.output.start import started

    started(job, like, _ask if on_a_terminal() else None, lambda why: click.echo(why, err=True))
    click.echo(f"{job}")
    click.echo(f"next: dishpath check {quote(str(job))}")


def on_a_terminal() -> bool:
    """Whether somebody sits there to answer."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _ask(prompt: str, default: str) -> str:
    return str(click.prompt(prompt, default=default, show_default=bool(default)))


@click.command()
@click.option("--out", type=PATH, help="File, in place of standard output.")
def schema(out: Path | None) -> None:
    """Print the JSON schema of the job file, for editors.

    Example: dishpath schema --out dishpath-job.json
    """
    from toolpath.job.schema import schema as job_schema

    put(as_json_text(job_schema()) + "\n", out)


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("readings", nargs=-1, type=click.UNPROCESSED, required=True)
def centre(readings: tuple[str, ...]) -> None:
    """How far off centre, and how oval, from 4 to 24 equally spaced dial readings.

    Example: dishpath centre 62 35 -38 -64 -63 -52 -28 24 80 96 90 70
    """
    from toolpath.workholding.centring import centre as centred

    values = []
    for text in readings:
        try:
            values.append(float(text))
        except ValueError:
            raise InputError(f"reading {text}: not a number; give the dial readings in turn") from None
    for line in centred(values).lines():
        click.echo(line)
