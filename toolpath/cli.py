"""The command line: the only place that prints and exits."""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from toolpath.errors import DishpathError, InputError
from toolpath.job.model import Job
from toolpath.recut import Recut, Stage
from toolpath.shop.readings import Readings

F = TypeVar("F", bound=Callable[..., Any])
STAGES = ("whole", "first", "last")


class _Group(click.Group):
    """Every error of ours becomes its sentences on standard error and its exit code."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except DishpathError as error:
            click.echo(str(error), err=True)
            ctx.exit(error.exit_code)


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="dishpath")
def main() -> None:
    """Recut piston crowns: skim, and a dish to a target volume, with a round insert."""


def job_options(command: F) -> F:
    """The options that every command on one job shares."""
    for option in (
        click.option(
            "--shop", type=click.Path(path_type=Path), help="Shop file; shop.toml beside the job by default."
        ),
        click.option("--post", help="Postprocessor in place of the job's."),
        click.option("--piston", type=click.IntRange(min=1), help="Number of the piston in the set."),
        click.option("--stage", type=click.Choice(STAGES), default="whole", show_default=True),
    ):
        command = option(command)
    return command


def read_job(path: Path, *, post: str | None = None, shop: Path | None = None) -> Job:
    """The job of a file, with the shop file beside it where there is one."""
    from postprocessors import BUILT_IN, known_names
    from toolpath.job.load import decoded, load
    from toolpath.make import HAND
    from toolpath.planning.insert import decode
    from toolpath.reference import table

    text = decoded(_read(path), name=path.name)
    beside = path.parent / "shop.toml"
    place = shop or (beside if beside.is_file() else None)
    stock = None if place is None else decoded(_read(place), name=place.name)

    def attempt(posts: frozenset[str]) -> Job:
        return load(
            text,
            name=path.name,
            known_materials=frozenset(table("materials")),
            known_posts=posts,
            insert_radius=lambda designation: decode(designation).radius,
            shop=stock,
            shop_name="shop.toml" if place is None else place.name,
        )

    built_in = frozenset(BUILT_IN) | {HAND}
    try:
        job = attempt(built_in)
    except InputError:
        # installed postprocessors are looked for only when a built-in one does not do: the scan is slow
        every = frozenset(known_names()) | {HAND}
        if every == built_in:
            raise
        job = attempt(every)
    if post is not None:
        if post not in built_in and post not in known_names():
            raise InputError(f"--post {post}: not known; choose from {', '.join(sorted(built_in))}")
        job = job.model_copy(update={"machine": job.machine.model_copy(update={"post": post})})
    return job


def _read(path: Path) -> bytes:
    try:
        if path.is_file() and path.stat().st_size > 64_000_000:
            raise InputError(f"{path}: larger than 64 MB; no file of this tool is")
        return path.read_bytes()
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror or error}); check the name") from error


def resolved(path: Path, stage: Stage, piston: int | None, post: str | None, shop: Path | None) -> Recut:
    """Read and resolve a job at a stage."""
    from toolpath.recut import resolve

    job = read_job(path, post=post, shop=shop)
    check_piston(job, piston)
    if stage == "whole":
        return resolve(job, stage=stage, piston=piston)
    if piston is None:
        raise InputError(f"--stage {stage}: needs --piston N, for its readings")
    return resolve(job, stage=stage, piston=piston, readings=readings_of(path).of(piston))


def check_piston(job: Job, piston: int | None) -> None:
    """Refuse a piston that the set does not have."""
    if piston is not None and piston > job.piston.count:
        raise InputError(f"--piston {piston}: the set has {job.piston.count}; see piston.count")


def readings_of(path: Path) -> Readings:
    """The readings beside a job; torn lines are reported and left."""
    from toolpath.shop.readings import beside, load

    found = load(beside(path))
    if found.torn is not None:
        click.echo(found.torn, err=True)
    return found


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="The report as JSON on standard output.")
@job_options
def check(
    job: Path, as_json: bool, stage: Stage, piston: int | None, post: str | None, shop: Path | None
) -> None:
    """Solve a job and say what was, what will be and what to watch; writes nothing."""
    from toolpath.make import timing_of
    from toolpath.report import report
    from toolpath.words import summary

    recut = resolved(job, stage, piston, post, shop)
    timing = timing_of(recut) if recut.plan is not None else None
    found = report(recut, timing, None, None, None)
    click.echo(_json(found) if as_json else summary(recut, found))
    if recut.stopped:
        sys.exit(1)


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder; one named like the job by default.")
@click.option("--no-pictures", is_flag=True, help="Leave out PNG and PDF.")
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
    proving: float | None,
    stage: Stage,
    piston: int | None,
    post: str | None,
    shop: Path | None,
) -> None:
    """Write program, table, pictures and report; the program is read back first."""
    from toolpath.files import files_of

    recut = resolved(job, stage, piston, post, shop)
    folder = out or job.parent / job.stem
    try:
        done = files_of(recut, job.stem, pictures=not no_pictures, proving=proving)
    except DishpathError:
        _say_older(folder, job.stem)
        raise
    from toolpath.make import write_whole

    write_whole(folder, done.files)
    for name in done.files:
        click.echo(f"{folder / name}")
    for line in done.said:
        click.echo(line)


def _say_older(folder: Path, stem: str) -> None:
    for old in sorted(folder.glob("*.nc")) if folder.is_dir() else ():
        if old.stem == stem or old.stem.startswith(f"{stem}-"):
            click.echo(f"{old}: is from before; do not run it for this job", err=True)


@main.command()
@click.argument("program", type=click.Path(path_type=Path))
@click.option(
    "--job", "job", required=True, type=click.Path(path_type=Path), help="The job it was made from."
)
@click.option("--json", "as_json", is_flag=True)
@job_options
def readback(
    program: Path,
    job: Path,
    as_json: bool,
    stage: Stage,
    piston: int | None,
    post: str | None,
    shop: Path | None,
) -> None:
    """Read a program back, cut the stock with it, and hold it against its job."""
    from toolpath.files import read_again
    from toolpath.report import finding_keys, readback_keys

    recut = resolved(job, stage, piston, post, shop)
    back = read_again(recut, _read(program), program.name)
    keys = {**readback_keys(back), "ok": back.ok, "findings": [finding_keys(f) for f in back.findings]}
    if as_json:
        click.echo(_json(keys))
    else:
        for key, value in keys.items():
            if key != "findings":
                click.echo(f"{key:<16}{value:.4f}" if isinstance(value, float) else f"{key:<16}{value}")
        for found in back.findings:
            click.echo(f"{program.name}: {found.line()}", err=True)
    if not back.ok:
        sys.exit(1)


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated rows.")
@job_options
def table(
    job: Path, as_csv: bool, stage: Stage, piston: int | None, post: str | None, shop: Path | None
) -> None:
    """Print the DRO table of a job: the same passes as rows for a manual lathe."""
    from toolpath.files import stop_if_forbidden
    from toolpath.handwork import table_of

    recut = resolved(job, stage, piston, post, shop)
    stop_if_forbidden(recut)
    done = table_of(recut)
    click.echo(done.csv if as_csv else done.text, nl=False)


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="File; the ending says what: .png, .svg or .pdf."
)
@click.option("--show", is_flag=True, help="Open a window.")
@job_options
def plot(
    job: Path,
    out: Path | None,
    show: bool,
    stage: Stage,
    piston: int | None,
    post: str | None,
    shop: Path | None,
) -> None:
    """Draw the section before, after the skim and finished, with passes and insert."""
    from toolpath.files import plotted

    recut = resolved(job, stage, piston, post, shop)
    click.echo(plotted(recut, out or Path(f"{job.stem}-section.png"), show=show))


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--like", help="A sample to start from, by name.")
def new(job: Path, like: str | None) -> None:
    """Write a commented starter job; never overwrites."""
    from toolpath.files import started

    ask = like is None and sys.stdin.isatty() and sys.stdout.isatty()
    started(job, like, _ask if ask else None, lambda why: click.echo(why, err=True))
    click.echo(f"{job}")


def _ask(question: Any) -> str:
    return str(click.prompt(question.prompt, default=question.default))


@main.command()
def schema() -> None:
    """Print the JSON schema of the job file, for editors."""
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
