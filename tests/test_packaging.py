"""Wheel and sdist hold what they must, and the project file says what the code needs."""

import ast
import re
import subprocess
import sys
import sysconfig
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
PACKAGES = ("toolpath", "postprocessors")
DATA = ("shared", "samples")


@pytest.fixture(scope="module")
def built(tmp_path_factory) -> Path:
    """A folder with wheel and sdist, built in a process of their own since hatchling keeps the folder."""
    place = tmp_path_factory.mktemp("built")
    code = f"from hatchling.build import *; build_wheel({str(place)!r}); build_sdist({str(place)!r})"
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True)
    return place


@pytest.fixture(scope="module")
def wheel(built) -> Path:
    (path,) = built.glob("*.whl")
    return path


def files_of(folder: str) -> set[str]:
    """Files of a folder of the checkout, caches left out."""
    return {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


def test_the_wheel_holds_code_data_and_licence_only(wheel):
    wanted = {name for package in PACKAGES for name in files_of(package)}
    wanted |= {f"toolpath/{name}" for folder in DATA for name in files_of(folder)}
    held = set(zipfile.ZipFile(wheel).namelist())
    about = {name for name in held if ".dist-info/" in name}
    assert held - about == wanted
    assert any(name.endswith("/licenses/LICENSE") for name in about)


def test_the_sdist_holds_what_its_tests_need(built):
    (path,) = built.glob("*.tar.gz")
    with tarfile.open(path) as archive:
        held = {name.split("/", 1)[1] for name in archive.getnames()}
    for folder in (*PACKAGES, *DATA, "tests", "docs"):
        assert files_of(folder) <= held, folder
    assert {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml"} <= held


def test_the_wheel_alone_makes_a_job(wheel, tmp_path):
    """Unpacked into an empty folder, with the libraries of this environment, away from the checkout."""
    zipfile.ZipFile(wheel).extractall(tmp_path / "site")
    (tmp_path / "empty").mkdir()
    start = (
        f"import sys; sys.path[:0] = [{str(tmp_path / 'site')!r}, {sysconfig.get_path('purelib')!r}]\n"
        "from toolpath import reference\n"
        f"assert reference.__file__.startswith({str(tmp_path)!r}), reference.__file__\n"
        "from toolpath.cli.main import main\n"
        "main(sys.argv[1:], prog_name='dishpath')"
    )
    for arguments in ("new job.toml", "make job.toml --no-pictures", "readback job/job.nc --job job.toml"):
        command = [sys.executable, "-S", "-c", start, *arguments.split()]
        done = subprocess.run(command, cwd=tmp_path / "empty", capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
    assert (tmp_path / "empty" / "job" / "job.nc").is_file()


def test_every_library_that_is_imported_is_declared():
    wanted = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["drawings"]]
    declared = {re.split(r"[<>=\[ ]", text)[0] for text in wanted}
    used = set()
    for path in (path for package in PACKAGES for path in (ROOT / package).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                used |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                used.add(node.module.split(".")[0])
    used -= {"pydantic_core"}  # comes with pydantic, of the version that it needs
    assert used - set(sys.stdlib_module_names) - set(PACKAGES) == declared


def test_the_command_is_the_module():
    assert PROJECT["scripts"] == {"dishpath": "toolpath.cli.main:main"}
    done = subprocess.run([sys.executable, "-m", "toolpath", "-h"], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
