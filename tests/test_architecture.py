"""The one-way flow of imports, the size of files, and what is loaded when: read off the source and tried out."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCES = sorted([*(ROOT / "toolpath").rglob("*.py"), *(ROOT / "postprocessors").rglob("*.py")])
MOST_LINES = 400
ROOMS = sorted(path.parent for path in (ROOT / "toolpath").glob("*/__init__.py"))


def module_of(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported(path: Path) -> Iterator[str]:
    """Every module that a file imports, wherever in it, by its full name."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are written in full here"
            assert node.module is not None
            if node.module in ("toolpath", "postprocessors"):
                yield from (f"{node.module}.{alias.name}" for alias in node.names)
            else:
                yield node.module


def ours(name: str) -> bool:
    return name.split(".")[0] in ("toolpath", "postprocessors")


def loaded(code: str) -> set[str]:
    """The names of all modules in a fresh interpreter that has run some code."""
    script = f"{code}\nimport sys\nsys.stderr.write(' '.join(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT, timeout=60
    )
    return set(done.stderr.split())


def test_imports_keep_the_contracts_of_pyproject(capsys):
    """Layers and forbidden libraries, as import-linter reads them off the source."""
    from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

    kept = lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True) == EXIT_STATUS_SUCCESS
    assert kept, capsys.readouterr().out


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.name)
def test_every_room_says_in_one_line_what_it_is(room):
    docstring = ast.get_docstring(ast.parse((room / "__init__.py").read_text(encoding="utf-8")))
    assert docstring
    assert "\n" not in docstring


@pytest.mark.parametrize("path", SOURCES, ids=module_of)
def test_only_the_command_line_prints_or_exits(path):
    if module_of(path).startswith(("toolpath.cli", "toolpath.__main__")):
        return
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            called = ast.unparse(node.func)
            assert called not in ("print", "exit", "quit", "sys.exit", "os._exit", "breakpoint", "input")
            assert called not in ("eval", "exec", "os.system", "pickle.loads")


@pytest.mark.parametrize("path", SOURCES, ids=module_of)
def test_files_are_short(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) < MOST_LINES


def test_a_shape_that_cannot_be_is_caught_in_one_place():
    catching = [module_of(p) for p in SOURCES if "except Stopped" in p.read_text(encoding="utf-8")]
    assert catching == ["toolpath.findings"]


# [setup] of a job is no uncertainty and nothing that a program is held against, and so on: words that once
# had two meanings
ONE_MEANING = ("Form", "Plan", "Reading", "Rules", "Setup", "Standing")


@pytest.mark.parametrize("name", ONE_MEANING)
def test_a_name_has_one_meaning(name):
    defined = [
        module_of(path)
        for path in SOURCES
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if (isinstance(node, ast.ClassDef) and node.name == name)
        or (isinstance(node, ast.Assign) and [ast.unparse(target) for target in node.targets] == [name])
    ]
    assert len(defined) == 1


def test_the_package_itself_is_empty():
    assert (ROOT / "toolpath" / "__init__.py").read_text(encoding="utf-8") == ""


def test_postprocessors_load_almost_nothing():
    have = loaded("import postprocessors, postprocessors.dro_table, postprocessors.recording")
    assert not have & {
        "numpy",
        "shapely",
        "matplotlib",
        "pydantic",
        "click",
        "toolpath.planner",
        "toolpath.job",
    }
    assert {m for m in have if m.startswith("toolpath.")} == {"toolpath.moves", "toolpath.errors"}


def test_geometry_loads_no_pydantic_and_no_pictures():
    modules = [m for m in map(module_of, SOURCES) if m.startswith("toolpath.geometry")]
    assert not loaded(f"import {', '.join(modules)}") & {"pydantic", "matplotlib", "shapely", "click"}


@pytest.mark.parametrize("command", ["check", "table"])
def test_commands_without_pictures_load_no_matplotlib(command, tmp_path):
    code = f"""
import runpy, sys
sys.argv = ["dishpath", "{command}", "samples/pump-engine.toml"]
try:
    runpy.run_module("toolpath", run_name="__main__")
except SystemExit as done:
    assert not done.code, done.code
"""
    have = loaded(code)
    assert "toolpath.recut" in have
    assert "matplotlib" not in have


def test_help_loads_neither_numbers_nor_models():
    code = """
import runpy, sys
sys.argv = ["dishpath", "--help"]
try:
    runpy.run_module("toolpath", run_name="__main__")
except SystemExit:
    pass
"""
    assert not loaded(code) & {"matplotlib", "shapely"}
