"""The command line on other computers: code pages, file names, pipes, words that a shell would expand."""

import codecs
import errno
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import click
import pytest

from tests.hostile.folders import contents
from tests.hostile.jobs import job_text
from tests.sample_jobs import run
from tests.windows import AS_WINDOWS
from toolpath.cli.main import main
from toolpath.readings.log import beside, load

ROOT = Path(__file__).parents[2]
TITLE = "größe Δ für zwei Ø"  # no code page of the table below has all of it
NAME = "größe-Δ-日本-\U0001f525"
CODE_PAGES = ["cp1252", "cp437", "ascii", "utf-8"]
SURE = ("--piston", "1", "--after", "as-received", "--sure")


@pytest.fixture
def job(tmp_path):
    place = tmp_path / f"{NAME}.toml"
    place.write_text(job_text({"title": f'"{TITLE}"', "piston.count": "2"}), encoding="utf-8")
    return place


@pytest.fixture
def streams(monkeypatch):
    """`streams(code_page, *arguments)`: exit code and bytes of both streams, which are strict."""

    def answer(code_page, *arguments):
        out, err = io.BytesIO(), io.BytesIO()
        with monkeypatch.context() as patch:
            patch.setattr(sys, "stdout", io.TextIOWrapper(out, encoding=code_page, errors="strict"))
            patch.setattr(sys, "stderr", io.TextIOWrapper(err, encoding=code_page, errors="strict"))
            with pytest.raises(SystemExit) as ended:  # anything else fails the test
                main([str(a) for a in arguments], prog_name="dishpath")
            sys.stdout.flush()
            sys.stderr.flush()
            return ended.value.code, out.getvalue(), err.getvalue()

    return answer


COMMANDS = {
    "check": ("check", "JOB"),
    "check --json": ("check", "JOB", "--json"),
    "make": ("make", "JOB", "--no-pictures"),
    "table": ("table", "JOB"),
    "table --csv": ("table", "JOB", "--csv"),
    "plot": ("plot", "JOB", "--out", f"FOLDER/{NAME}.svg"),
    "readback": ("readback", f"FOLDER/{NAME}.nc", "--job", "JOB"),
    "readback --json": ("readback", f"FOLDER/{NAME}.nc", "--job", "JOB", "--json"),
    "reading": ("reading", "JOB", *SURE, "9.3", "--note", TITLE),
    "reading --undo": ("reading", "JOB", "--piston", "2", "--undo"),
    "pistons": ("pistons", "JOB"),
    "pistons --json": ("pistons", "JOB", "--json"),
    "new": ("new", f"FOLDER/{NAME}-2.toml"),
    "schema": ("schema",),
    "centre": ("centre", "9", "10", "5", "-3"),
    "help": ("--help",),
    "make refused": ("make", f"FOLDER/{NAME}-none.toml"),
    "check refused": ("check", "JOB", "--piston", "9"),
}


@pytest.mark.parametrize("code_page", CODE_PAGES)
@pytest.mark.parametrize("arguments", COMMANDS.values(), ids=COMMANDS)
def test_every_command_on_every_code_page(arguments, code_page, job, tmp_path, streams):
    if arguments[0] == "readback":
        assert run("make", job, "--no-pictures", "--out", tmp_path).exit_code == 0
    if "--undo" in arguments:
        assert run("reading", job, "--piston", "2", "--sure", "9.3").exit_code == 0
    filled = [a.replace("JOB", str(job)).replace("FOLDER", str(tmp_path)) for a in arguments]
    code, out, err = streams(code_page, *filled)
    refused = arguments in (COMMANDS["make refused"], COMMANDS["check refused"])
    assert code == (2 if refused else 0), err
    assert err if refused else out
    if "--json" in arguments or arguments[0] == "schema":
        assert json.loads(out.decode(code_page))
    if arguments[0] == "reading" and "--undo" not in arguments:
        assert [r.note for r in load(beside(job)).readings] == [TITLE]


def test_json_loses_no_letter_to_a_code_page(job, streams):
    program = f"{job.stem}.nc"
    job.write_text(job_text(), encoding="utf-8")
    run("make", job, "--no-pictures")
    told = json.loads((job.parent / job.stem / f"{job.stem}-report.json").read_text(encoding="utf-8"))
    assert told["program"]["file"] == program
    for code_page in CODE_PAGES:
        _, out, _ = streams(code_page, "check", job, "--json")
        assert json.loads(out.decode(code_page))["schema"] == told["schema"]


POSIX_NAMES = pytest.mark.skipif(AS_WINDOWS, reason="a file name is letters there, not bytes")
PLAIN_C = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}


def answered(*arguments, **environment):
    """The command as a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "toolpath", *arguments],
        capture_output=True,
        cwd=ROOT,
        env={**os.environ, **environment},
    )
    assert b"Traceback" not in done.stderr, done.stderr.decode(errors="replace")
    return done.returncode, done.stdout, done.stderr


@POSIX_NAMES
@pytest.mark.parametrize("locale", [{}, PLAIN_C], ids=["UTF-8", "LANG=C"])
@pytest.mark.parametrize("name", [b"b\xff", "größe".encode()], ids=["undecodable", "not ASCII"])
def test_file_names_that_the_computer_cannot_read(name, locale, tmp_path):
    job = os.path.join(os.fsencode(tmp_path), name + b".toml")
    Path(os.fsdecode(job)).write_text(job_text(), encoding="utf-8")
    for arguments in (
        ("check", job),
        ("check", job, "--json"),
        ("make", job),
        ("reading", job, *SURE, "9.3", "--note", name),
        ("pistons", job),
        ("plot", job, "--out", job.replace(b".toml", b".png")),
    ):
        assert answered(*arguments, **locale)[0] == 0
    assert answered("check", job, "--piston", "9", **locale)[0] == 2
    report = os.path.join(job.removesuffix(b".toml"), name + b"-report.json")
    with open(report, encoding="utf-8") as out:
        assert json.load(out)["program"]["file"].endswith(".nc")


@pytest.mark.parametrize("zone", ["XXX-999999", "AAA99999999999999", "<>", "/etc/passwd", ""])
def test_a_time_zone_that_is_none(zone, job):
    code, _, err = answered("reading", job, *SURE, "9.3", TZ=zone)
    assert code == 0, err
    assert len(load(beside(job)).readings) == 1


# what is told


def test_an_older_program_is_told_whatever_failed(job, tmp_path, monkeypatch):
    """A table that a spreadsheet holds, an interrupt, an error of our own: the program lies there all the same."""
    assert run("make", job, "--no-pictures").exit_code == 0
    program = tmp_path / job.stem / f"{job.stem}.nc"
    before = contents(tmp_path)
    for error in (
        PermissionError(errno.EACCES, "Permission denied"),
        KeyboardInterrupt(),
        ZeroDivisionError(),
    ):
        with monkeypatch.context() as patch:
            patch.setattr("toolpath.drive.HELD_FOR", 0.0)
            patch.setattr(os, "replace", raising(error, f"{job.stem}-dro.csv"))
            answer = run("make", job, "--no-pictures")
        assert answer.exit_code != 0
        assert f"{program.stem}.nc: is from before; do not run it for this job" in answer.output
        assert contents(tmp_path) == before


def raising(error, name, real=os.replace):
    def replace(old, new):
        if os.path.basename(old) == name:
            raise error
        real(old, new)

    return replace


@pytest.mark.parametrize("name", ["JOB.NC", "Job.nc", "job-Proving.NC"])
def test_an_older_program_is_told_whatever_its_case(name, tmp_path):
    job = tmp_path / "job.toml"
    job.write_text(job_text(), encoding="utf-8")
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / name).write_text("old")
    made = run("make", job, "--no-pictures")
    assert made.exit_code == 0
    assert f"{name}: is from before; do not use it with these" in made.output
    job.write_text(job_text({"dish.volume_cc": "2"}), encoding="utf-8")
    refused = run("make", job, "--no-pictures")
    assert refused.exit_code == 1
    assert f"{name}: is from before; do not run it for this job" in refused.output


@pytest.mark.parametrize("number", [errno.EPIPE, errno.EINVAL])
def test_a_closed_pipe_ends_quietly(number, job, monkeypatch):
    """Windows tells a reader that has gone by EINVAL."""

    class Gone(io.TextIOWrapper):
        def write(self, _):
            raise OSError(number, os.strerror(number))

    err = io.BytesIO()
    told = io.TextIOWrapper(err, encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", Gone(io.BytesIO(), encoding="utf-8"))
        patch.setattr(sys, "stderr", told)
        with pytest.raises(SystemExit) as ended:  # anything else fails the test
            main(["check", str(job)], prog_name="dishpath")
        told.flush()
        assert ended.value.code == 1
        assert err.getvalue() == b""


# what is typed


def test_a_note_is_stored_as_it_was_typed(job, monkeypatch):
    """On Windows click would put file names for * and values for $NAME."""

    class Windows:
        name = "nt"

        def __getattr__(self, attribute):
            return getattr(os, attribute)

    note = "* $HOME ~ %PATH% ?"
    monkeypatch.setattr(click.core, "os", Windows())
    monkeypatch.setattr(sys, "argv", ["dishpath", "reading", str(job), *SURE, "9.3", "--note", note])
    monkeypatch.chdir(job.parent)
    with pytest.raises(SystemExit) as ended:  # anything else fails the test
        main()
    assert not ended.value.code
    assert [r.note for r in load(beside(job)).readings] == [note]


NAMES = ("nul", "con", "COM1", "a:b", "pump.", "pump ")


@pytest.mark.parametrize("name", NAMES)
def test_a_job_name_that_windows_cannot_hold_is_refused(name, job, tmp_path):
    place = tmp_path / f"{name}.toml"
    place.write_text(job_text(), encoding="utf-8")
    before = contents(tmp_path)
    fresh = tmp_path / "fresh" / f"{name}.toml"
    fresh.parent.mkdir()
    for arguments in (
        ("check", place),
        ("make", place, "--no-pictures"),
        ("reading", place, *SURE, "9.3"),
        ("new", fresh),
        ("make", job, "--no-pictures", "--out", tmp_path / name),
        ("schema", "--out", tmp_path / name),
    ):
        answer = run(*arguments)
        assert answer.exit_code == 2, arguments
        assert "since the folder may be shared" in answer.output
    assert contents(tmp_path) == before


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes")
def test_a_pipe_as_job_program_or_shop_file_is_refused(job, tmp_path):
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    for arguments in (("check", pipe), ("check", job, "--shop", pipe), ("readback", pipe, "--job", job)):
        answer = run(*arguments)
        assert answer.exit_code == 2
        assert "it is a pipe or a device, not a file" in answer.output


@pytest.mark.skipif(AS_WINDOWS or not Path("/dev/zero").exists(), reason="there is no /dev/zero")
def test_a_device_without_end_is_refused(job):
    for arguments in (("check", "/dev/zero"), ("readback", "/dev/zero", "--job", job)):
        assert run(*arguments).exit_code == 2


# text in files, so that nobody redirects


@pytest.mark.parametrize(
    "arguments", [("schema",), ("table", "JOB"), ("table", "JOB", "--csv")], ids=" ".join
)
def test_text_into_a_file_is_what_is_printed(arguments, job, tmp_path):
    filled = [a.replace("JOB", str(job)) for a in arguments]
    place = tmp_path / "out" / "text"
    answer = run(*filled, "--out", place)
    assert (answer.exit_code, answer.output) == (0, f"{place}\n")
    assert place.read_bytes().decode() == run(*filled).output
    assert [p.name for p in place.parent.iterdir()] == ["text"]


RESAVED = {
    "UTF-16": lambda text: codecs.BOM_UTF16_LE + text.encode("utf-16-le"),
    "UTF-16, big-endian": lambda text: codecs.BOM_UTF16_BE + text.encode("utf-16-be"),
    "byte order mark": lambda text: codecs.BOM_UTF8 + text.encode(),
    "CR LF": lambda text: text.replace("\n", "\r\n").encode(),
    "CR alone": lambda text: text.replace("\n", "\r").encode(),
}


@pytest.mark.parametrize("saved", RESAVED.values(), ids=RESAVED)
def test_a_table_from_another_program_is_read_back(saved, job, tmp_path):
    place = tmp_path / "rows.csv"
    place.write_bytes(saved(run("table", job, "--csv").output))
    assert run("readback", place, "--job", job).exit_code == 0


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("row,cut\n1,skim\n".encode("utf-16-le"), "has zeros between its letters, as UTF-16 has"),
        (codecs.BOM_UTF16_LE + b"\x00\xd8\x00", "is not text; save it as CSV in UTF-8"),
        (b"\xff\xfa\xfb", "is not text; save it as CSV in UTF-8"),
    ],
)
def test_a_table_that_is_no_text_is_named(content, says, job, tmp_path):
    place = tmp_path / "rows.csv"
    place.write_bytes(content)
    answer = run("readback", place, "--job", job)
    assert answer.exit_code == 2
    assert says in answer.output


@pytest.mark.parametrize("mark", [codecs.BOM_UTF8, codecs.BOM_UTF16_LE])
def test_a_program_that_is_not_plain_is_named(mark, job, tmp_path):
    run("make", job, "--no-pictures", "--out", tmp_path)
    program = tmp_path / f"{NAME}.nc"
    program.write_bytes(mark + program.read_bytes())
    answer = run("readback", program, "--job", job)
    assert answer.exit_code == 2
    assert "line 1 is not plain ASCII text" in answer.output


@pytest.mark.parametrize("saved", RESAVED.values(), ids=RESAVED)
def test_a_job_from_another_editor_is_read_or_named(saved, job):
    text = job.read_text(encoding="utf-8")
    job.write_bytes(saved(text))
    answer = run("check", job)
    assert answer.exit_code in (0, 2)
    assert answer.exit_code == 0 or f"{NAME}.toml: line 1" in answer.output


# completion in PowerShell


@pytest.fixture
def completed(monkeypatch, capsys):
    """`completed(line, word)`: what is offered for the last word of a line."""

    def answer(line, word):
        for name, value in (
            ("_DISHPATH_COMPLETE", "powershell_complete"),
            ("COMP_LINE", line),
            ("COMP_WORD", word),
        ):
            monkeypatch.setenv(name, value)
        with pytest.raises(SystemExit):
            main([], prog_name="dishpath")
        return [tuple(row.split("\t")) for row in capsys.readouterr().out.splitlines() if row]

    return answer


@pytest.mark.parametrize(
    ("line", "word", "offered"),
    [
        ("dishpath re", "re", ["readback", "reading"]),
        (r"dishpath make 'C:\my jobs\pump.toml' --pa", "--pa", ["--paper"]),
        ("dishpath make pump.toml --paper ", "", ["a4", "letter"]),
        ("dishpath make pump.toml --stage f", "f", ["first"]),
        ("dishpath make pu", "pu", []),
    ],
)
def test_completion_in_powershell(line, word, offered, completed):
    rows = completed(line, word)
    assert [value for value, _ in rows] == offered
    assert all(tip for _, tip in rows)


def test_completion_in_powershell_is_announced(monkeypatch, capsys):
    monkeypatch.setenv("_DISHPATH_COMPLETE", "powershell_source")
    with pytest.raises(SystemExit) as ended:
        main([], prog_name="dishpath")
    assert ended.value.code == 0
    script = capsys.readouterr().out
    assert script.startswith("Register-ArgumentCompleter -Native -CommandName dishpath")
    assert "%(" not in script
    assert script.count("{") == script.count("}")


def test_line_ends_stay_in_what_is_compared_byte_for_byte():
    """Git must not write CR LF into golden files or the script of the checks on Windows."""
    attributes = (ROOT / ".gitattributes").read_text(encoding="ascii").splitlines()
    assert "* text=auto eol=lf" in attributes
    for place in (*ROOT.glob("tests/golden/*/*"), *ROOT.glob(".ci/run"), *ROOT.glob("samples/*")):
        assert b"\r" not in place.read_bytes(), place
