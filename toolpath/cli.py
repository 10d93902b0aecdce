"""The command line: the only place that prints and exits."""

import atexit
import errno
import gc
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from toolpath.errors import DishpathError, InputError
from toolpath.opening import check_piston, number_of, read_bytes, read_job
from toolpath.options import PATH, Which, job_options
from toolpath.words import plain

if TYPE_CHECKING:
    from toolpath.recut import Recut
    from toolpath.shop.readings import After, Reading, Readings

# a command is over in a moment: what it imports need not be searched for garbage again and again, nor at the end
gc.set_threshold(100_000)
atexit.register(gc.freeze)


class _Group(click.Group):
    """Every error of ours becomes its sentences on standard error and its exit code."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except DishpathError as error:
            for sentence in str(error).split("\n"):
                click.echo(plain(sentence), err=True)
            ctx.exit(error.exit_code)
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise  # click ends quietly
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


def resolved(path: Path, which: Which) -> "Recut":
    """Read and resolve a job at a stage."""
    from toolpath.recut import resolve

    job = read_job(path, post=which.post, shop=which.shop)
    check_piston(job, which.piston)
    readings: tuple[Reading, ...] = ()
    if which.stage != "whole":
        if which.piston is None:
            raise InputError(f"--stage {which.stage}: needs --piston N, for its readings")
        readings = readings_of(path).of(which.piston)
    try:
        return resolve(job, stage=which.stage, piston=which.piston, readings=readings)
    except InputError as error:
        raise InputError(*(f if f.startswith("--") else f"{path.name}: {f}" for f in error.faults)) from error


def readings_of(path: Path) -> "Readings":
    """The readings beside a job; torn lines are reported and left."""
    from toolpath.shop.readings import beside, load

    found = load(beside(path))
    if found.torn is not None:
        click.echo(found.torn, err=True)
    return found


@main.command()
@click.argument("job", type=PATH)
@click.option("--json", "as_json", is_flag=True, help="The report as JSON on standard output.")
@job_options
def check(job: Path, as_json: bool, which: Which) -> None:
    """Solve a job and say what was, what will be and what to watch; writes nothing.

    Example: dishpath check pump.toml --stage first --piston 2
    """
    from toolpath.make import timing_of
    from toolpath.report import report
    from toolpath.words import summary

    recut = resolved(job, which)
    timing = timing_of(recut) if recut.plan is not None else None
    by_hand = None
    if as_json and not recut.stopped:
        from toolpath.handwork import table_of

        by_hand = table_of(recut)
    found = report(recut, timing, None, by_hand, None)
    click.echo(_json(found) if as_json else summary(recut, found))
    if recut.stopped:
        sys.exit(1)


@main.command()
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
    from toolpath.files import files_of

    folder = out or job.parent / job.stem
    if not no_pictures and sys.stderr.isatty():
        click.echo("drawing the sheets ...", err=True)
    try:
        recut = resolved(job, which)
        done = files_of(recut, job.stem, pictures=not no_pictures, proving=proving, paper=paper)
    except DishpathError:
        _say_older(folder, job.stem)
        raise
    from toolpath.disk import write_whole

    write_whole(folder, done.files)
    for name in done.files:
        click.echo(f"{folder / name}")
    for line in done.said:
        click.echo(line)
    for old in done.older(folder):
        click.echo(f"{old}: is from before; do not use it with these", err=True)


def _say_older(folder: Path, stem: str) -> None:
    for old in sorted(folder.glob("*.nc")) if folder.is_dir() else ():
        if old.stem == stem or old.stem.startswith(f"{stem}-"):
            click.echo(f"{old}: is from before; do not run it for this job", err=True)


@main.command()
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
    from toolpath.files import read_again
    from toolpath.report import finding_keys, readback_keys
    from toolpath.words import after_readback

    recut = resolved(job, which)
    back = read_again(recut, read_bytes(program), program.name)
    keys = {**readback_keys(back), "ok": back.ok, "findings": [finding_keys(f) for f in back.findings]}
    if as_json:
        click.echo(_json(keys))
    else:
        click.echo(after_readback(keys, program.name, job.name))
        for found in back.findings:
            click.echo(f"{program.name}: {found.line()}", err=True)
    if not back.ok:
        sys.exit(1)


@main.command()
@click.argument("job", type=PATH)
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated rows.")
@job_options
def table(job: Path, as_csv: bool, which: Which) -> None:
    """Print the DRO table of a job: the same passes as rows for a manual lathe.

    Example: dishpath table pump.toml --csv
    """
    from toolpath.files import stop_if_forbidden
    from toolpath.handwork import table_of

    recut = resolved(job, which)
    stop_if_forbidden(recut)
    done = table_of(recut)
    click.echo(done.csv if as_csv else done.text, nl=False)


@main.command()
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
    from toolpath.files import plotted

    recut = resolved(job, which)
    click.echo(plotted(recut, out or Path(f"{job.stem}-section.png"), show=show))


@main.command()
@click.argument("job", type=PATH)
@click.option("--like", help="A sample to start from, by name.")
def new(job: Path, like: str | None) -> None:
    """Write a commented starter job; never overwrites.

    Example: dishpath new pump.toml --like tractor-pair
    """
    from toolpath.files import started

    ask = like is None and sys.stdin.isatty() and sys.stdout.isatty()
    started(job, like, _ask if ask else None, lambda why: click.echo(why, err=True))
    click.echo(f"{job}")


def _ask(question: Any) -> str:
    return str(click.prompt(question.prompt, default=question.default))


@main.command(context_settings={"ignore_unknown_options": True})
@click.argument("job", type=PATH)
@click.argument("cc", required=False)
@click.option("--piston", type=click.IntRange(min=1), required=True)
@click.option("--after", type=click.Choice(("as-received", "skim", "first", "last")))
@click.option("--depth", help="Depth micrometer: finished crown to the floor, with or without its unit.")
@click.option("--mouth", help="Mouth diameter, with or without its unit.")
@click.option("--sure", is_flag=True, help="Store a reading that looks impossible.")
@click.option("--note", default="", help="A remark that stays with the reading.")
@click.option("--undo", is_flag=True, help="Withdraw the latest reading of this piston.")
@click.option("--shop", type=PATH, help="Shop file; shop.toml beside the job by default.")
def reading(
    job: Path,
    cc: str | None,
    piston: int,
    after: "After | None",
    depth: str | None,
    mouth: str | None,
    sure: bool,
    note: str,
    undo: bool,
    shop: Path | None,
) -> None:
    """Store a burette reading (cc) or a measured length of one piston.

    Example: dishpath reading pump.toml --piston 2 11.42
    """
    from toolpath.matched import after_of, judged
    from toolpath.recut import resolve
    from toolpath.shop import readings as store
    from toolpath.units import length_in

    stated = read_job(job, shop=shop)
    check_piston(stated, piston)
    place = store.beside(job)
    given = [
        name for name, value in (("CC", cc), ("--depth", depth), ("--mouth", mouth)) if value is not None
    ]
    if undo:
        if given:
            raise InputError(f"--undo: takes no {given[0]}; it withdraws the latest reading")
        gone = store.undo(place, piston, note)
        click.echo(
            f"piston {piston}: withdrawn {gone.shown:g} after {gone.after}; the line stays in {place.name}"
        )
        return
    if len(given) != 1:
        raise InputError("a reading is one of CC, --depth or --mouth; give one of them")
    before = readings_of(job)
    value = store.Reading(
        piston=piston,
        after=after or after_of(before, piston),
        volume=None if cc is None else number_of(cc, "CC") * 1000,
        depth=None if depth is None else length_in(depth, stated.units),
        mouth=None if mouth is None else length_in(mouth, stated.units),
        note=note,
    )
    recut = resolve(stated)
    if recut.design is None:
        raise InputError(f"{job.name}: the job itself cannot be cut; see dishpath check")
    value, why = judged(recut.design, before.of(piston), value)
    if why is not None and not sure:
        raise InputError(f"piston {piston} after {value.after}: {why}; give --sure to store it all the same")
    kept = store.append(place, value)
    click.echo(
        f"piston {piston} after {kept.after}: {kept.shown:g} stored as reading {kept.number} in {place.name}"
    )


@main.command("set")
@click.argument("job", type=PATH)
@click.option("--json", "as_json", is_flag=True, help="As JSON on standard output.")
@click.option("--record", type=PATH, help="Write the customer's record, a PDF.")
@click.option("--shop", type=PATH, help="Shop file; shop.toml beside the job by default.")
def set_(job: Path, as_json: bool, record: Path | None, shop: Path | None) -> None:
    """Every piston of the set: what was read, what to do next, the spread, a common target.

    Example: dishpath set pump.toml --record pump-record.pdf
    """
    from toolpath.disk import write_whole
    from toolpath.files import stop_if_forbidden
    from toolpath.matched import set_keys, set_summary, set_text
    from toolpath.recut import resolve

    recut = resolve(read_job(job, shop=shop))
    if recut.design is None or recut.plan is None:
        stop_if_forbidden(recut)
    assert recut.design is not None
    keys = set_keys(set_summary(recut, readings_of(job)), recut.design.target)
    if record is not None:
        from toolpath.paper.record import record_page

        write_whole(record.parent, {record.name: record_page(recut, keys)})
        click.echo(str(record), err=as_json)
    click.echo(_json(keys) if as_json else set_text(keys))


@main.command()
def schema() -> None:
    """Print the JSON schema of the job file, for editors.

    Example: dishpath schema > dishpath-job.json
    """
    from toolpath.job.schema import schema as job_schema

    click.echo(_json(job_schema()))


@main.command(context_settings={"ignore_unknown_options": True})
@click.argument("readings", nargs=-1, type=click.UNPROCESSED, required=True)
def centre(readings: tuple[str, ...]) -> None:
    """How far off centre, and how oval, from 4 to 24 equally spaced dial readings.

    Example: dishpath centre 62 35 -38 -64 -63 -52 -28 24 80 96 90 70
    """
    from toolpath.shop.centring import centre as centred

    values = []
    for text in readings:
        try:
            values.append(float(text))
        except ValueError:
            raise InputError(f"reading {text}: not a number; give the dial readings in turn") from None
    for line in centred(values).lines():
        click.echo(line)


def _json(value: Any) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
