"""Commands that put something down or read it back: make, table, plot, readback."""

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from toolpath.cli.opening import as_json_text, put
from toolpath.cli.options import PATH, Which, job_options
from toolpath.cli.work import Opened, one_piston, opened, several, stage_meant
from toolpath.errors import InputError, StopError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from toolpath.output.files import Done, Printing
    from toolpath.recut import Recut

    Built = tuple[Recut, Done]


@click.command()
@click.argument("job", type=PATH)
@click.option("--out", type=PATH, help="Folder; one named like the job by default.")
@click.option("--no-pictures", is_flag=True, help="Leave out PNG, PDF and the page.")
@click.option("--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True)
@click.option(
    "--sheet",
    type=click.Choice(("full", "card", "none")),
    help="What is printed: every page, one card a piston, or nothing; a card for the first and the last cut.",
)
@click.option("--table", "rows", is_flag=True, help="Print the table of a job that has a program, too.")
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
    sheet: 'Literal["full", "card", "none"] | None',
    rows: bool,
    proving: float | None,
    which: Which,
) -> None:
    """Write program, table, page, pictures and report; the program is read back first.

    With --piston it makes what is due for that piston, and notes in the log what was made.

    Example: dishpath make pump.toml --piston 3
    """
    from toolpath.output.files import Printing, base_name, cuttable, files_of

    if no_pictures and sheet in ("full", "card"):
        raise InputError(f"--sheet {sheet}: --no-pictures leaves out every sheet; give one of the two")
    if rows and (no_pictures or sheet == "none"):
        raise InputError("--table: goes into the sheet, and none is printed; leave it out")
    folder = out or job.parent / job.stem
    work = opened(job, which)
    if which.piston is None and which.stage is None and work.job.cylinder:
        raise InputError(f"{job.name}: its pistons have figures of their own; say which: --piston all")
    pistons = None if which.piston is None else several(which.piston, work.job.piston.count)
    together = pistons is not None and len(pistons) > 1
    printing = Printing(not no_pictures, sheet, rows, paper, together)

    def built(piston: int | None) -> "Built":
        stage = stage_meant(work, piston, which)
        name = base_name(job.stem, stage, piston)
        try:
            recut = cuttable(work.resolved(stage, piston))
            return recut, files_of(recut, name, proving=proving, job_file=job.name, printing=printing)
        except BaseException:  # whatever failed, an interrupt too
            _say_older(folder, name)
            raise

    if not no_pictures and sys.stderr.isatty():
        click.echo("drawing the sheets ...", err=True)
    if pistons is None or not together:
        recut, done = built(one_piston(work, which))
        _put_down(work, recut, done, folder, work.log.last_number)
        _say_done(done, folder)
        _say_older_cards(folder, job.stem, recut)
        return
    _several_made(work, pistons, built, folder, printing)


def _several_made(
    work: Opened,
    pistons: tuple[int, ...],
    built: "Callable[[int | None], Built]",
    folder: Path,
    printing: "Printing",
) -> None:
    """Make what is due for each piston, each whole or not at all, and their cards in one file a stage."""
    from toolpath.output.disk import write_whole
    from toolpath.output.files import round_of

    made: list[Built] = []
    stopped = False
    for piston in pistons:
        try:
            made.append(built(piston))
        except (StopError, InputError) as error:
            stopped = stopped or isinstance(error, StopError)
            _say_left_out(piston, error)
    cards = round_of(work.path.stem, [done for _, done in made], printing)
    last = work.log.last_number
    put: list[Built] = []
    for k, (recut, done) in enumerate(made):
        try:
            last = _put_down(work, recut, done, folder, last)
        except InputError as error:
            _say_left_out(recut.piston, error)
            for other, _ in made[k + 1 :]:
                _say_left_out(other.piston, InputError("not written after that; make it again"))
            break
        put.append((recut, done))
        _say_done_short(recut, done, folder)
    if len(put) < len(made):
        cards = round_of(work.path.stem, [done for _, done in put], printing)
    if cards:
        write_whole(folder, cards)
    for name in cards:
        click.echo(f"{folder / name}")
    for recut, done in put:
        if done.card is None:
            _say_older_cards(folder, work.path.stem, recut)
    if stopped:
        sys.exit(1)
    if not put:
        sys.exit(2)


def _say_left_out(piston: int | None, error: Exception) -> None:
    click.echo(f"piston {piston} is left out: {error}".replace(f"out: piston {piston}: ", "out: "), err=True)


def _put_down(work: Opened, recut: "Recut", done: "Done", folder: Path, last: int) -> int:
    """Note the make in the log, then put its files in place; a make without files is withdrawn.

    `last` is the number of the log's last line as it was read; gives that of the line now.
    """
    from toolpath.output.files import put_down
    from toolpath.readings.log import beside

    doubts = (
        [] if recut.piston is None else list(_perhaps_cut(work, recut.piston, recut.facts.mark, done, folder))
    )
    try:
        now = put_down(recut, done, folder, beside(work.path), last)
    except BaseException:  # whatever failed, an interrupt too
        _say_older(folder, done.name)
        raise
    for doubt in doubts:
        click.echo(f"warning: {doubt}: if it was cut, do not cut this one; read the piston first", err=True)
    return now


def _perhaps_cut(work: Opened, piston: int, mark: str, done: "Done", folder: Path) -> "Iterator[str]":
    """Other programs of a piston that may have been cut since its latest reading."""
    from toolpath.matching.due import tally
    from toolpath.output.disk import names_in
    from toolpath.readings.log import MadeCut

    history = work.history(piston)
    for made in tally(history).waiting:
        if made.facts.mark != mark:
            yield f"{made.file} with the mark {made.facts.mark} was made too and waits for its reading"
    known = {e.file for e in history if isinstance(e, MadeCut)}
    ours = re.compile(
        rf"{re.escape(work.path.stem)}-p{piston}(-first|-last)?{re.escape(Path(done.cuts).suffix)}"
    )
    for old in names_in(folder):
        new = done.files.get(old.name)
        if ours.fullmatch(old.name) and old.name not in known and (new is None or new != old.read_bytes()):
            yield f"{old.name} stands there, and the log has no such cut"


def _say_older_cards(folder: Path, stem: str, recut: "Recut") -> None:
    """A file of cards from before may hold another card of this piston."""
    from toolpath.output.disk import names_in
    from toolpath.output.files import cards_name

    name = cards_name(stem, recut.stage)
    for old in names_in(folder):
        if recut.piston is not None and old.name.casefold() == name.casefold():
            click.echo(f"{old}: its card of piston {recut.piston} is from before; do not use it", err=True)


def _say_done_short(recut: "Recut", done: "Done", folder: Path) -> None:
    """One line a piston of a round; what its report warns of stands in it."""
    click.echo(f"piston {recut.piston}: {folder / done.cuts}: {done.said[0]}")
    for old in done.older(folder):
        click.echo(f"{old}: is from before; do not use it with these", err=True)


def _say_done(done: "Done", folder: Path) -> None:
    for name in done.files:
        click.echo(f"{folder / name}")
    for line in done.said:
        click.echo(line)
    for old in done.older(folder):
        click.echo(f"{old}: is from before; do not use it with these", err=True)


def _say_older(folder: Path, name: str) -> None:
    """What stands there of this piston and stage from before a run that failed."""
    from toolpath.output.disk import names_in

    ours = {f"{name}{ending}".casefold() for ending in (".nc", "-proving.nc")}
    for old in names_in(folder):
        if old.name.casefold() in ours:
            click.echo(f"{old}: is from before; do not run it for this job", err=True)


def _wanted(job: Path, which: Which, file: str | None = None) -> "Recut":
    """The recut that table, plot and readback are about: with a piston and no stage, its latest made cut."""
    from toolpath.output.files import cuttable

    work = opened(job, which)
    piston = one_piston(work, which)
    if piston is not None and which.stage is None:
        return cuttable(work.as_made(piston, file))
    return cuttable(work.resolved(stage_meant(work, piston, which), piston))


@click.command()
@click.argument("job", type=PATH)
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated rows.")
@click.option("--out", type=PATH, help="File, in place of standard output.")
@job_options
def table(job: Path, as_csv: bool, out: Path | None, which: Which) -> None:
    """Print the DRO table of a job: the same passes as rows for a manual lathe.

    Example: dishpath table pump.toml --csv
    """
    from toolpath.output.files import checked_table

    recut = _wanted(job, which)
    done = checked_table(recut, job.name)
    put(done.csv if as_csv else done.text, out)
    if recut.piston is not None:
        click.echo("this is for reading only: make notes a cut in the log, table does not", err=True)


@click.command()
@click.argument("job", type=PATH)
@click.option("--out", type=PATH, help="File; the ending says what: .png, .svg, .pdf, .html or .dxf.")
@click.option("--show", is_flag=True, help="Open a window.")
@job_options
def plot(
    job: Path,
    out: Path | None,
    show: bool,
    which: Which,
) -> None:
    """Draw the section before, after the skim and finished, with passes and insert; or write the page.

    Example: dishpath plot pump.toml --out section.pdf
    """
    from toolpath.output.files import plotted

    recut = _wanted(job, which)
    place = out or Path(f"{job.stem}-section.png")
    for line in plotted(recut, place, show=show, job_file=job.name):
        click.echo(line)


@click.command()
@click.argument("program", type=PATH)
@click.option("--job", "job", required=True, type=PATH, help="The job it was made from.")
@click.option("--json", "as_json", is_flag=True)
@click.option(
    "--page", type=PATH, help="Write the page of this program too, an .html; faults stand at their lines."
)
@job_options
def readback(
    program: Path,
    job: Path,
    as_json: bool,
    page: Path | None,
    which: Which,
) -> None:
    """Read a program back, cut the stock with it, and hold it against its job.

    Example: dishpath readback pump/pump.nc --job pump.toml
    """
    from toolpath.output.disk import read_bytes, write_whole
    from toolpath.output.files import page_of_program, read_again
    from toolpath.output.terminal import after_readback
    from toolpath.report.figures import named
    from toolpath.report.made import readback_figures

    recut = _wanted(job, which, program.name)
    data = read_bytes(program)
    back = read_again(recut, data, program.name)
    if page is not None:
        if page.suffix.lower() != ".html":
            raise InputError(f"--page {page}: ends in {page.suffix or 'nothing'}; give .html")
        write_whole(page.parent, {page.name: page_of_program(recut, data, program.name, job.name)})
        click.echo(str(page), err=as_json)
    found = readback_figures(back)
    if as_json:
        click.echo(as_json_text({**named(found), "ok": back.ok, "findings": named(back.findings)}))
    else:
        click.echo(after_readback(found, recut.job.units, program.name, job.name, ok=back.ok))
        for finding in back.findings:
            click.echo(f"{program.name}: {finding.line(recut.job.units)}", err=True)
    if not back.ok:
        sys.exit(1)
