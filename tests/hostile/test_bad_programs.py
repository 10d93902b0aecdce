"""Programs that are not, or no longer, what was made from the job: the readback must say so."""

import re
from pathlib import Path

import pytest

from tests.hostile.jobs import job_text
from toolpath.api import load_job
from toolpath.program.text import made
from toolpath.recut import resolve


@pytest.fixture(name="job")
def _job(tmp_path: Path) -> Path:
    job = tmp_path / "job.toml"
    job.write_text(job_text(), encoding="utf-8")
    return job


@pytest.fixture(name="text")
def _text(job: Path) -> str:
    return made(resolve(load_job(job))).text


def swapped(old: str, new: str, count: int = 1):
    """An edit of the text that must find what it edits."""

    def edit(text: str) -> str:
        assert old in text, f"nothing to edit: {old}"
        return text.replace(old, new, count)

    return edit


def before_last_feed(block: str):
    """An edit that puts a block before the last block at feed."""

    def edit(text: str) -> str:
        lines = text.splitlines(keepends=True)
        at = max(k for k, line in enumerate(lines) if line.startswith("G01"))
        return "".join([*lines[:at], block + "\n", *lines[at:]])

    return edit


def last_feeds_as(word: str, count: int):
    """An edit that gives the last blocks at feed along a line another motion word."""

    def edit(text: str) -> str:
        lines = text.splitlines(keepends=True)
        for at in [k for k, line in enumerate(lines) if line.startswith("G01")][-count:]:
            lines[at] = lines[at].replace("G01", word)
        return "".join(lines)

    return edit


EDITS = {
    "empty": lambda text: "",
    "only comments": lambda text: "(nothing)\n" * 10,
    "first half": lambda text: text[: len(text) // 2],
    "last half": lambda text: text[len(text) // 2 :],
    "no end": swapped("M30\n", ""),
    "a word without a number": before_last_feed("G01 X Z0.0"),
    "a number without a word": before_last_feed("G01 12.0"),
    "two points": before_last_feed("G01 X1.2.3"),
    "an exponent": before_last_feed("G01 X1E1"),
    "infinity": before_last_feed("G01 Xinf"),
    "nan": before_last_feed("G01 Xnan"),
    "a huge number": before_last_feed("G01 X" + "9" * 400),
    "an open comment": before_last_feed("G01 X60.0 (open"),
    "a nested comment": before_last_feed("(a (b) c)"),
    "an incremental mode": before_last_feed("G91"),
    "a cycle": before_last_feed("G71 U1.0 R0.5"),
    "a subprogram": before_last_feed("M98 P1000"),
    "a macro": before_last_feed("#100=1"),
    "a jump": before_last_feed("GOTO 10"),
    "home": before_last_feed("G28 U0 W0"),
    "machine coordinates": before_last_feed("G53 G00 X0.0"),
    "another plane": before_last_feed("G17"),
    "inches": before_last_feed("G20"),
    "compensation": before_last_feed("G42"),
    "feed per minute": before_last_feed("G94"),
    "two motions": before_last_feed("G00 G01 X60.0"),
    "X twice": before_last_feed("G01 X60.0 X61.0"),
    "an arc without a centre": before_last_feed("G02 X60.0 Z0.0"),
    "an arc that does not close": before_last_feed("G02 X60.0 Z0.0 I9.0 K9.0"),
    "an arc with a radius": before_last_feed("G02 X60.0 Z0.0 R9.0"),
    "a full circle": before_last_feed("G02 I5.0 K0.0"),
    "a rapid into the floor": before_last_feed("G00 Z-9.0"),
    "the floor at rapid": last_feeds_as("G00", 4),
    "a plunge": before_last_feed("G01 Z-9.0"),
    "past the axis": before_last_feed("G01 X-20.0"),
    "a tenth too deep": before_last_feed("G01 Z-3.2"),
    "no feed": lambda text: re.sub(r" F[\d.]+", "", text),
    "spindle stopped": before_last_feed("M05"),
    "a lone letter": before_last_feed("Q"),
    "lower case nonsense": before_last_feed("g01 xyz"),
    "a semicolon": before_last_feed("; G01 X60.0"),
    "control characters": before_last_feed("G01 X60.0\x07\x1b[2J"),
    "a null": before_last_feed("G01 X60.0\0"),
    "one endless line": before_last_feed("G01 " + "X1.0 " * 20_000),
}

NOT_TEXT = {
    "binary": bytes(range(256)) * 20,
    "utf-16": "G00 X1.0\n".encode("utf-16"),
    "latin-1": "(Spindelmaß)\nM30\n".encode("latin-1"),
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(3000),
}


@pytest.mark.parametrize("edit", EDITS.values(), ids=EDITS)
def test_edited(edit, job, text, tmp_path, refused):
    program = tmp_path / "job.nc"
    program.write_text(edit(text), encoding="utf-8", newline="\n")
    answer = refused("readback", program, "--job", job, exit_code=1)
    assert answer.err.startswith("job.nc: ")
    assert max(map(len, answer.err.splitlines())) < 600
    assert len(answer.err) < 60_000


def test_unedited_is_fine(job, text, tmp_path, run):
    program = tmp_path / "job.nc"
    program.write_text(text, encoding="ascii")
    assert run("readback", program, "--job", job).exit_code == 0


@pytest.mark.parametrize("data", NOT_TEXT.values(), ids=NOT_TEXT)
def test_not_text(data, job, tmp_path, refused):
    program = tmp_path / "job.nc"
    program.write_bytes(data)
    assert refused("readback", program, "--job", job, exit_code=2).err.startswith("job.nc: line")


TABLES = {
    "empty": "",
    "another heading": "a,b,c\n1,2,3\n",
    "short rows": "row,what,z,x_start,x_stop,infeed,do\n1,skim\n",
    "a word for a number": "row,what,z,x_start,x_stop,infeed,do\n1,skim,low,90,0,0.1,face\n",
    "nan": "row,what,z,x_start,x_stop,infeed,do\n1,skim,nan,90,0,0.1,face\n",
    "infinity": "row,what,z,x_start,x_stop,infeed,do\n1,skim,0.1,inf,0,0.1,face\n",
    "huge": "row,what,z,x_start,x_stop,infeed,do\n1,skim,-1e300,90,0,0.1,face\n",
}


@pytest.mark.parametrize("text", TABLES.values(), ids=TABLES)
def test_tables(text, job, tmp_path, run):
    rows = tmp_path / "job-dro.csv"
    rows.write_text(text, encoding="utf-8")
    answer = run("readback", rows, "--job", job)
    assert answer.exit_code in (1, 2)
    assert answer.err.startswith("job-dro.csv")
