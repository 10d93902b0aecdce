"""The README does what it says: its commands are run, its output and pictures compared.

`--rewrite-golden` writes output and pictures anew.
"""

import importlib.util
import io
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread

import postprocessors
from postprocessors.writer import Writer
from tests.sample_jobs import SAMPLES, make, run
from tests.windows import AS_WINDOWS
from toolpath.api import load_job
from toolpath.recut import resolve
from toolpath.reference import table

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
DOCS = ROOT / "docs"
PROGRAM = DOCS / "program.md"
MOST_LINES = 350
MOST_DIFFERENCE = 0.01  # mean over all points, of a full scale of 1; fonts are drawn a little differently


def pages() -> str:
    """The README and what it sends a reader to."""
    return "\n".join(page.read_text("utf-8") for page in (README, *sorted(DOCS.glob("*.md"))))


def blocks(language: str) -> list[str]:
    """The fenced blocks of one language, in order."""
    return re.findall(rf"^```{language}\n(.*?)^```$", pages(), re.MULTILINE | re.DOTALL)


def commands(block: str) -> list[str]:
    return [line[2:] for line in block.splitlines() if line.startswith("$ ")]


# what a reader types and sees; and what is done for him out of his sight, with its output where that is shown
STEP = re.compile(
    r"^```console\n(?P<typed>.*?)^```$|^<!-- \$ (?P<hidden>[^\n]*) -->\n(?:```text\n(?P<shown>.*?)^```$)?",
    re.MULTILINE | re.DOTALL,
)


@pytest.fixture(scope="module")
def shell(tmp_path_factory):
    """Runs a command line in one empty folder, with this checkout's `dishpath` on the path."""
    place, tools = tmp_path_factory.mktemp("empty"), tmp_path_factory.mktemp("bin")
    command = tools / "dishpath"
    start = "from toolpath.cli.main import main; main(prog_name='dishpath')"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -c "{start}" "$@"\n')
    command.chmod(0o755)
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PATH": f"{tools}{os.pathsep}{os.environ['PATH']}"}

    def call(line: str) -> str:
        done = subprocess.run(
            line,
            shell=True,
            cwd=place,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
        )
        return done.stdout

    return call


# ---- output ------------------------------------------------------------------------------------


@pytest.mark.skipif(AS_WINDOWS, reason="the blocks are for a POSIX shell")
def test_every_command_prints_what_is_shown(shell, rewriting):
    def real(step: re.Match[str]) -> str:
        if step["typed"] is not None:
            return f"```console\n{''.join(f'$ {line}{chr(10)}{shell(line)}' for line in commands(step['typed']))}```"
        said = shell(step["hidden"])
        return f"<!-- $ {step['hidden']} -->\n" + (f"```text\n{said}```" if step["shown"] is not None else "")

    for page in (README, PROGRAM):
        text = page.read_text(encoding="utf-8")
        fresh = STEP.sub(real, text)
        if rewriting:
            page.write_text(fresh, encoding="utf-8", newline="\n")
        assert rewriting or text == fresh


def test_the_readme_stays_short():
    assert len(README.read_text(encoding="utf-8").splitlines()) < MOST_LINES


def test_what_is_typed_is_the_same_in_every_shell():
    typed = [line for block in blocks("console") for line in commands(block)]
    assert len(typed) > 10
    for line in typed:
        assert re.fullmatch(r"dishpath [\w./ =,-]+", line), line


def test_the_commands_for_powershell_are_those_of_the_posix_shells():
    posix = [part.strip().replace("python3", "py -3") for block in blocks("sh") for part in block.split("&&")]
    there = [
        line.replace("\\", "/").replace("Scripts", "bin") for line in blocks("powershell")[0].splitlines()
    ]
    assert set(there) <= {*posix}
    assert there[-1] == posix[-1]
    assert any("dishpath make" in line for line in there)
    assert not any("&&" in block for block in blocks("powershell"))


def test_the_example_uses_every_command_but_a_few():
    used = set(re.findall(r"dishpath (\w+)", pages()))
    from toolpath.cli.main import main

    assert set(main.commands) <= used


def test_completion_in_powershell_is_the_one_that_is_offered(shell):
    profile = blocks("powershell")[1].splitlines()
    assert profile[0] == '$env:_DISHPATH_COMPLETE = "powershell_source"'
    assert "Register-ArgumentCompleter" in shell("_DISHPATH_COMPLETE=powershell_source dishpath")


@pytest.mark.skipif(AS_WINDOWS, reason="the completion is that of a POSIX shell")
@pytest.mark.parametrize("name", ["bash", "zsh", "fish"])
def test_completion(shell, name):
    assert "complete" in shell(f"_DISHPATH_COMPLETE={name}_source dishpath")


def test_the_two_commands_name_what_there_is():
    first, second = blocks("sh")
    extra = re.search(r'install "\.\[(\w+)\]"', second)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert extra is not None
    assert extra[1] in project["optional-dependencies"]
    sample = re.search(r"make (samples/\S+)", first)
    assert sample is not None
    assert (ROOT / sample[1]).is_file()
    assert second.rstrip().endswith("python -m pytest")
    assert project["requires-python"] == ">=3.11"
    assert "Python 3.11 or newer" in README.read_text(encoding="utf-8")


# ---- pictures ----------------------------------------------------------------------------------


def fresh_pictures() -> dict[str, bytes]:
    spec = importlib.util.spec_from_file_location("readme_pictures", DOCS / "pictures.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.pictures()


def test_pictures_are_not_stale(rewriting):
    fresh = fresh_pictures()
    if rewriting:
        for name, content in fresh.items():
            (DOCS / name).write_bytes(content)
    named = set(re.findall(r"\]\(docs/([\w.-]+\.png)\)", README.read_text(encoding="utf-8")))
    assert named == set(fresh) == {path.name for path in DOCS.glob("*.png")}
    for name, content in fresh.items():
        old, new = imread(DOCS / name), imread(io.BytesIO(content))
        assert old.shape == new.shape
        assert np.abs(old - new).mean() < MOST_DIFFERENCE


def test_another_picture_would_be_noticed():
    one, other = (imread(io.BytesIO(content)) for content in fresh_pictures().values())
    assert one.shape == other.shape
    assert np.abs(one - other).mean() > 2 * MOST_DIFFERENCE


# ---- words -------------------------------------------------------------------------------------


def test_cautions_are_those_of_the_table():
    text = README.read_text(encoding="utf-8")
    section = text.split("## Before you cut\n")[1].split("\n## ")[0]
    assert [line[2:] for line in section.splitlines() if line.startswith("- ")] == table("cautions")[
        "readme"
    ]["lines"]


def test_every_sample_and_post_is_named():
    text = README.read_text(encoding="utf-8")
    for name in (*SAMPLES, *postprocessors.BUILT_IN, "dro-table"):
        assert f"`{name}`" in text


def test_local_links_lead_somewhere():
    for target in re.findall(r"\]\((?!http)([^)#]+)\)", README.read_text(encoding="utf-8")):
        assert (ROOT / target).is_file(), target


# ---- files that are shown ----------------------------------------------------------------------


def test_the_whole_job_that_is_shown_can_be_cut(tmp_path):
    (job,) = [block for block in blocks("toml") if "[piston]" in block]
    (tmp_path / "job.toml").write_text(job, encoding="utf-8")
    done = run("make", tmp_path / "job.toml", "--no-pictures")
    assert done.exit_code == 0, done.output


def test_the_shop_file_that_is_shown_serves_a_job(tmp_path):
    (shop,) = [block for block in blocks("toml") if "[tool." in block]
    (job,) = [block for block in blocks("toml") if "[piston]" in block]
    job = re.sub(r"^\[(tool|machine)\]\n(\w.*\n)+", "", job, flags=re.MULTILINE)
    (tmp_path / "shop.toml").write_text(shop, encoding="utf-8")
    (tmp_path / "job.toml").write_text(f'tool = "ROUND10"\nmachine = "LATHE"\n{job}', encoding="utf-8")
    recut = resolve(load_job(tmp_path / "job.toml"))
    assert recut.job.machine.post == "system-a"
    assert recut.insert.radius == 5.0
    assert not recut.stopped


def test_the_writer_that_is_shown_writes_a_program(tmp_path, monkeypatch):
    (source,) = [block for block in blocks("python") if "Iso6983" in block]
    names: dict[str, type[Writer]] = {}
    exec(source, names)
    (entry,) = [block for block in blocks("toml") if "entry-points" in block]
    ((name, target),) = tomllib.loads(entry)["project"]["entry-points"][postprocessors.GROUP].items()
    writer = names[target.split(":")[1]]
    assert name == writer.NAME
    monkeypatch.setitem(postprocessors.BUILT_IN, name, writer)
    (program,) = [
        v
        for k, v in make("pump-engine", name, tmp_path, "--no-pictures").items()
        if k.endswith(writer.EXTENSION)
    ]
    blocks_written = [line for line in program.decode().splitlines() if not line.startswith("(")]
    assert blocks_written[-1] == "M02"


def test_the_map_for_developers_names_every_part():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    package = ROOT / "toolpath"
    parts = {path.name for path in package.glob("*.py") if not path.name.startswith("__")}
    parts |= {f"{path.parent.name}/" for path in package.glob("*/__init__.py")}
    assert {part for part in parts if part not in text} == set()
