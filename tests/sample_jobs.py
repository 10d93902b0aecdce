"""The samples, the dialects, and a sample made through the command line."""

from pathlib import Path

from click.testing import CliRunner, Result

from toolpath.cli.main import main
from toolpath.reference import folder

SAMPLES = sorted(path.stem for path in folder("samples").glob("*.toml"))
UNEVEN = "four-valve"  # its pistons have figures of their own: one cut of the set must be asked for
DIALECTS = ("iso6983", "system-a", "rs274ngc", "rs274-lathe")
POSTS = (*DIALECTS, "dro-table")


def job_file(sample: str) -> Path:
    """The sample's job file, where it lies."""
    return folder("samples") / f"{sample}.toml"


def run(*arguments: str | Path) -> Result:
    """One call of the command; `.output` holds both streams."""
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def make(sample: str, post: str, place: Path, *more: str) -> dict[str, bytes]:
    """Make a sample into a folder: every file's bytes by name."""
    stage = ("--stage", "whole") if sample == UNEVEN else ()
    done = run("make", job_file(sample), *stage, "--post", post, "--out", place, *more)
    assert done.exit_code == 0, done.output
    return {path.name: path.read_bytes() for path in sorted(place.iterdir())}
