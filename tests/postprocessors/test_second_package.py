"""The package that the README shows, installed as printed, beside broken ones."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.sample_jobs import job_file

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def installed(tmp_path_factory) -> Path:
    """The folder into which pip has installed the README's package."""
    text = (ROOT / "docs" / "postprocessor.md").read_text(encoding="utf-8")
    source = next(b for b in re.findall(r"```python\n(.*?)```", text, re.DOTALL) if "class MyLathe" in b)
    project = next(b for b in re.findall(r"```toml\n(.*?)```", text, re.DOTALL) if "build-system" in b)
    package, place = tmp_path_factory.mktemp("my-lathe"), tmp_path_factory.mktemp("installed")
    (package / "my_lathe.py").write_text(source, encoding="utf-8")
    (package / "pyproject.toml").write_text(project, encoding="utf-8")
    # the build tool and dishpath are here already
    command = ["pip", "install", "--quiet", "--no-deps", "--no-build-isolation", "--target", place, package]
    done = subprocess.run([sys.executable, "-m", *command], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return place


def dishpath(place: Path, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """One call of the command with what is installed in a folder."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(map(str, (place, ROOT)))}
    command = [sys.executable, "-m", "toolpath", *map(str, arguments)]
    return subprocess.run(command, env=environment, cwd=place, capture_output=True, text=True, check=False)


def test_the_program_is_made_and_read_back(installed, tmp_path):
    job, made = job_file("pump-engine"), tmp_path / "out"
    done = dishpath(installed, "make", job, "--post", "my-lathe", "--no-pictures", "--out", made)
    assert done.returncode == 0, done.stderr
    program = made / "pump-engine.mpf"
    lines = program.read_text(encoding="ascii").splitlines()
    assert lines.count("M51") == 3
    assert "M08" not in lines
    assert lines[-1] == "M02"
    assert dishpath(installed, "readback", program, "--job", job, "--post", "my-lathe").returncode == 0
    program.write_text("\n".join(["M52" if line == "M51" else line for line in lines]), encoding="ascii")
    other = dishpath(installed, "readback", program, "--job", job, "--post", "my-lathe")
    assert other.returncode == 1
    assert "M52 is refused" in other.stderr


def test_an_unknown_post_lists_the_installed_ones(installed):
    done = dishpath(installed, "check", job_file("pump-engine"), "--post", "nope")
    assert done.returncode == 2
    known = "dro-table, iso6983, my-lathe, rs274-lathe, rs274ngc, system-a"
    assert f"--post nope: not known; choose from {known}" in done.stderr


HEAD = "from postprocessors.iso6983 import Iso6983\n"
BROKEN = {
    "no-such-import": ("import no_such_module\n", "cannot be loaded: No module named 'no_such_module'."),
    "no-name": (
        f"{HEAD}class W(Iso6983): pass\n",
        "has the fact NAME = 'iso6983'; it must be the name of its entry",
    ),
    "wrong-decimals": (
        f"{HEAD}class W(Iso6983):\n    NAME = 'broken'\n    DECIMALS = 3\n",
        "has the fact DECIMALS = 3; it must be 1 to 9 decimals",
    ),
    "wrong-ending": (
        f"{HEAD}class W(Iso6983):\n    NAME = 'broken'\n    EXTENSION = 'mpf'\n",
        "has the fact EXTENSION = 'mpf'; it must be a point and up to eight letters",
    ),
    "unknown-reading": (
        f"{HEAD}class W(Iso6983):\n    NAME = 'broken'\n    READS_AS = 'mine'\n",
        "has the fact READS_AS = 'mine', which the readback does not know; it knows iso6983",
    ),
    "missing-fact": (
        "from postprocessors.writer import Writer\nclass W(Writer):\n    NAME = 'broken'\n"
        + "".join(
            f"    def {hook}(self, *a): return ''\n"
            for hook in ("head", "speed_cap", "surface_speed", "fixed_speed", "end")
        ),
        "lacks the fact READS_AS",
    ),
    "missing-hook": (
        "from postprocessors.writer import Writer\nclass W(Writer): pass\n",
        "lacks the hook end",
    ),
    "word-that-means-nothing": (
        f"{HEAD}class W(Iso6983):\n    NAME = 'broken'\n    WORDS = {{'M51': 'M777'}}\n",
        "says that M51 means M777, which is no word of ISO 6983-1",
    ),
    "word-that-is-taken": (
        f"{HEAD}class W(Iso6983):\n    NAME = 'broken'\n    WORDS = {{'M05': 'M08'}}\n",
        "gives M05 another meaning",
    ),
}


@pytest.mark.parametrize(("source", "sentence"), BROKEN.values(), ids=BROKEN)
def test_a_broken_package_is_told_in_one_sentence(tmp_path, source, sentence):
    (tmp_path / "broken_writer.py").write_text(source, encoding="utf-8")
    told = tmp_path / "broken-1.0.dist-info"
    told.mkdir()
    (told / "METADATA").write_text("Metadata-Version: 2.1\nName: broken\nVersion: 1.0\n", encoding="utf-8")
    entry = "[dishpath.postprocessors]\nbroken = broken_writer:W\n"
    (told / "entry_points.txt").write_text(entry, encoding="utf-8")
    job = job_file("pump-engine")
    done = dishpath(tmp_path, "make", job, "--post", "broken", "--no-pictures", "--out", tmp_path / "out")
    assert done.returncode == 2
    assert f"The postprocessor 'broken' {sentence}" in done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr.splitlines()) == 1
