"""Commands on one cut: check, make, table, plot, readback."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from toolpath.cli.opening import as_json_text, put, read_bytes, resolved
from toolpath.cli.options import PATH, Which, job_options

if TYPE_CHECKING:
    pass


@click.command()
@click.argument("job", type=PATH)
@click.option("--json", "as_json", is_flag=True, help="The report as JSON on standard output.")
@job_options
def check(job: Path, as_json: bool, which: Which) -> None:
    """Solve a job and say what was, what will be and what to watch; writes nothing.

    Example: dishpath check pump.toml --stage first --piston 2
    """
    from toolpath.output.terminal import refusal, summary
    from toolpath.recut import Refused
    from toolpath.report.figures import refused_json
    from toolpath.report.made import report_of

    recut = resolved(job, which)
    if isinstance(recut, Refused):
        keys = refused_json(recut.stage, recut.piston, recut.findings)
        click.echo(as_json_text(keys) if as_json else refusal(recut))
        sys.exit(1)
    by_hand = None
    if as_json and not recut.stopped:
        from toolpath.program.by_hand import table_of

        by_hand = table_of(recut)
    found = report_of(recut, by_hand)
    click.echo(as_json_text(found.as_json()) if as_json else summary(recut, found))
    if recut.stopped:
        sys.exit(1)


@click.command()
@click.argument("job", type=PATH)
@click.option("--out", type=PATH, help="Folder; one named like the job by default.")
@click.option("--no-pictures", is_flag=True, help="Leave out PNG and PDF.")
@click.option("--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True)
@click.option(
    "--proving",
    is_flag=False,
    flag_value=-1.0,
    type=float,
    metavar="[MM]",
    help="Write a proving copy, lifted above the work.",
)
@job_options
def make(
    job: Path,
    out: Path | None,
    no_pictures: bool,
    paper: Literal["a4", "letter"],
    proving: float | None,
    which: Which,
) -> None:
    """Write program, table, pictures and report; the program is read back first.

    Example: dishpath make pump.toml --out programs --proving 15
    """
    from toolpath.output.disk import write_whole
    from toolpath.output.files import cuttable, files_of

    folder = out or job.parent / job.stem
    if not no_pictures and sys.stderr.isatty():
        click.echo("drawing the sheets ...", err=True)
    try:
        recut = cuttable(resolved(job, which))
        done = files_of(recut, job.stem, pictures=not no_pictures, proving=proving, paper=paper)
        write_whole(folder, done.files)
    except BaseException:  # whatever failed, an interrupt too
        _say_older(folder, job.stem)
        raise
    for name in done.files:
        click.echo(f"{folder / name}")
    for line in done.said:
        click.echo(line)
    for old in done.older(folder):
        click.echo(f"{old}: is from before; do not use it with these", err=True)


def _say_older(folder: Path, stem: str) -> None:
    from toolpath.output.disk import names_in

    for old in names_in(folder):
        name, ours = old.stem.casefold(), stem.casefold()
        if old.suffix.casefold() == ".nc" and (name == ours or name.startswith(f"{ours}-")):
            click.echo(f"{old}: is from before; do not run it for this job", err=True)


@click.command()
@click.argument("job", type=PATH)
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated rows.")
@click.option("--out", type=PATH, help="File, in place of standard output.")
@job_options
def table(job: Path, as_csv: bool, out: Path | None, which: Which) -> None:
    """Print the DRO table of a job: the same passes as rows for a manual lathe.

    Example: dishpath table pump.toml --csv
    """
    from toolpath.output.files import cuttable
    from toolpath.program.by_hand import table_of

    done = table_of(cuttable(resolved(job, which)))
    put(done.csv if as_csv else done.text, out)


@click.command()
@click.argument("job", type=PATH)
@click.option("--out", type=PATH, help="File; the ending says what: .png, .svg or .pdf.")
@click.option("--show", is_flag=True, help="Open a window.")
@job_options
def plot(
    job: Path,
    out: Path | None,
    show: bool,
    which: Which,
) -> None:
    """Draw the section before, after the skim and finished, with passes and insert.

    Example: dishpath plot pump.toml --out section.pdf
    """
    from toolpath.output.files import cuttable, plotted

    recut = cuttable(resolved(job, which))
    click.echo(plotted(recut, out or Path(f"{job.stem}-section.png"), show=show))


@click.command()
@click.argument("program", type=PATH)
@click.option("--job", "job", required=True, type=PATH, help="The job it was made from.")
@click.option("--json", "as_json", is_flag=True)
@job_options
def readback(
    program: Path,
    job: Path,
    as_json: bool,
    which: Which,
) -> None:
    """Read a program back, cut the stock with it, and hold it against its job.

    Example: dishpath readback pump/pump.nc --job pump.toml
    """
    from dataclasses import asdict

    from toolpath.output.files import cuttable, read_again
    from toolpath.output.terminal import after_readback
    from toolpath.report.made import readback_figures

    recut = cuttable(resolved(job, which))
    back = read_again(recut, read_bytes(program), program.name)
    found = readback_figures(back)
    if as_json:
        keys = {**asdict(found), "ok": back.ok, "findings": [asdict(f) for f in back.findings]}
        click.echo(as_json_text(keys))
    else:
        click.echo(after_readback(found, program.name, job.name, ok=back.ok))
        for finding in back.findings:
            click.echo(f"{program.name}: {finding.line()}", err=True)
    if not back.ok:
        sys.exit(1)
