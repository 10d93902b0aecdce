"""No text of a job, and no file name, may change one move of a program or write outside its folder."""

import re
from pathlib import Path

import pytest

from postprocessors import BUILT_IN
from tests.hostile.folders import contents
from tests.hostile.jobs import job_text
from toolpath.api import load_job
from toolpath.program.text import made
from toolpath.recut import resolve

TEXTS = {
    "closing bracket": ") G00 X0.0 (",
    "brackets": "((()))",
    "line feed": "a\nG00 X0.0\nb",
    "carriage return": "a\rG00 X0.0\rb",
    "line separator": "a\u2028G00 X0.0\u2029b",
    "next line and vertical tab": "a\x85G00 X0.0\x0bb\x0cc",
    "null": "a\x00G00 X0.0",
    "control characters": "".join(map(chr, range(1, 32))) + "\x7f\x9b",
    "percent": "%\nO0001\n%",
    "semicolon": "; G00 X0.0",
    "block delete": "/G00 X0.0",
    "slashes": "//// \\\\ //",
    "operator message": "MSG, open the door",
    "debug": "DEBUG, #1",
    "full-width brackets": "\uff08a\uff09 G00 X0.0",
    "full-width percent": "\uff05 G00 X0.0 \uff1b",
    "small brackets": "\ufe59a\ufe5a \ufe6a",
    "superscript brackets": "\u207da\u207e \u208da\u208e",
    "right to left": "\u202e)0.0X 00G(",
    "combining": "G\u030100 X\u03010.0",
    "Cyrillic and Greek look-alikes": "\u041c30 \u03a70.0",
    "emoji": "\U0001f525 M30",
    "5 000 characters": "G00 X0.0 " * 555,
    "5 000 brackets": ")" * 5000,
    "one word of 5 000": "X" * 5000,
    "a number": "30",
    "up and out": "../../../etc/passwd",
    "a macro": "#100=#101 GOTO 10",
    "quotes": "\"'`\"'",
    "comma": "a,b,c\n=1+1",
}
PLACES = [("title", post) for post in BUILT_IN] + [
    ("holder.name", "iso6983"),
    ("burette.name", "iso6983"),
]
HOLDER = {"holder.direction": '"z"', "holder.width": "6", "holder.set_back": "2"}


def literal(text: str) -> str:
    """The text as a TOML string, every unusual character as an escape."""
    plain = {c: c for c in map(chr, range(32, 127)) if c not in '"\\'}
    return '"' + "".join(plain.get(c, f"\\U{ord(c):08X}") for c in text) + '"'


def blocks(text: str) -> list[str]:
    """What a control acts on: every line without its comments and without the end-of-tape signs."""
    assert text.isascii()
    lines = text.split("\n")
    assert lines[-1] == ""
    assert not any(c in text for c in "\r\0\t;")
    bare = [re.sub(r"\([^()]*\)", "", line).strip() for line in lines]
    assert not any(c in line for line in bare for c in "()%/")
    return [line for line in bare if line]


@pytest.fixture(scope="module", name="plain")
def _plain(tmp_path_factory) -> dict[str, list[str]]:
    folder = tmp_path_factory.mktemp("plain")
    return {post: blocks(program(folder, post, {})) for post in BUILT_IN}


def program(folder: Path, post: str, changes: dict[str, str | None]) -> str:
    job = folder / "job.toml"
    changes = {**HOLDER, "machine.post": f'"{post}"', **changes}
    job.write_text(job_text(changes), encoding="utf-8")
    return made(resolve(load_job(job))).text


@pytest.mark.parametrize(("key", "post"), PLACES)
@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_no_text_changes_a_block(text, key, post, plain, tmp_path):
    written = program(tmp_path, post, {key: literal(text)})
    assert blocks(written) == plain[post]
    assert max(map(len, written.splitlines())) <= 256


NAMES = (
    "a b",
    "(a)",
    "a)G00 X0(",
    "a%",
    "a;b",
    "ä-\u0416-\U0001f525",
    "\uff08a\uff09",
    "-rf",
    "a'b\"c",
    "..a",
    "a\nG00 X0",
    "x" * 200,
    "M30",
    "$(touch owned)",
)


@pytest.mark.parametrize("name", NAMES)
def test_no_file_name_changes_a_block_or_a_folder(name, plain, tmp_path, run):
    home = tmp_path / "home"
    home.mkdir()
    job = home / f"{name}.toml"
    job.write_text(job_text(HOLDER), encoding="utf-8")
    answer = run("make", "--no-pictures", "--", job)
    assert answer.exit_code == 0, answer.err
    made_files = contents(home)
    assert all(file == job.name or file.startswith(f"{name}/{name}") for file in made_files)
    assert set(contents(tmp_path)) == {f"home/{file}" for file in made_files}
    assert blocks(made_files[f"{name}/{name}.nc"].decode("ascii")) == plain["iso6983"]


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_no_text_reaches_the_rows_of_the_table(text, tmp_path, run):
    job = tmp_path / "job.toml"
    rows = []
    for title in ("Sound", text):
        job.write_text(job_text({"title": literal(title)}), encoding="utf-8")
        answer = run("table", job, "--csv")
        assert answer.exit_code == 0, answer.err
        rows.append(answer.out)
    assert rows[0] == rows[1]


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_no_text_reaches_the_terminal_raw(text, tmp_path, run):
    """An escape sequence in a title must not command the terminal that the report is read on."""
    job = tmp_path / "job.toml"
    job.write_text(job_text({"title": literal(text)}), encoding="utf-8")
    out = run("check", job).out
    assert not set(out) & {chr(c) for c in (*range(10), *range(11, 32), *range(127, 160))}
    assert "\u202e" not in out


@pytest.mark.parametrize("key", ["piston.material", "tool.insert", "machine.post", "machine.tool_word"])
@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_words_that_must_be_known_are_refused(text, key, tmp_path, refused):
    job = tmp_path / "job.toml"
    job.write_text(job_text({key: literal(text)}), encoding="utf-8")
    answer = refused("make", job, "--no-pictures", exit_code=2)
    assert not set(answer.err) & {chr(c) for c in (*range(10), *range(11, 32), *range(127, 160))}
