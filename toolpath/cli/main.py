"""The command line: the only place that prints and exits."""

import errno
import io
import os
import sys
from typing import Any

import click

from toolpath.cli import checking, cutting, jobs, readings
from toolpath.errors import DishpathError
from toolpath.output.terminal import plain


class _Group(click.Group):
    """Every error of ours becomes its sentences on standard error and its exit code."""

    def main(self, *args: Any, **extra: Any) -> Any:
        """Arguments as they were typed on Windows too, where click would expand * and $NAME in a note."""
        if any(name.endswith("_COMPLETE") for name in os.environ):
            from toolpath.cli import completion

            completion.announce()
        return super().main(*args, **{"windows_expand_args": False, **extra})

    def invoke(self, ctx: click.Context) -> Any:
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="replace")  # what a code page cannot show must stop nothing
        try:
            return super().invoke(ctx)
        except DishpathError as error:
            for sentence in str(error).split("\n"):
                click.echo(plain(sentence), err=True)
            ctx.exit(error.exit_code)
        except OSError as error:
            if error.filename is None and error.errno in (errno.EPIPE, errno.EINVAL):
                # a reader that has gone is told as either, the second on Windows; click ends quietly on the first
                raise BrokenPipeError(errno.EPIPE, error.strerror) from error
            what = plain(str(error.filename or "standard output"))
            click.echo(f"{what}: {error.strerror}; see what is stored before you run it again", err=True)
            ctx.exit(2)


def _version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if not wanted or ctx.resilient_parsing:
        return
    from importlib.metadata import PackageNotFoundError, version

    try:
        click.echo(f"dishpath {version('dishpath')}")
    except PackageNotFoundError:
        click.echo("dishpath, from a checkout that is not installed")
    ctx.exit()


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_version, help="Say which."
)
def main() -> None:
    """Recut piston crowns: skim, and a dish to a target volume, with a round insert."""


for command in (
    *(checking.check, cutting.make, cutting.table, cutting.plot, cutting.readback),
    *(readings.reading, readings.pistons),
    *(jobs.new, jobs.schema, jobs.centre),
):
    main.add_command(command)
