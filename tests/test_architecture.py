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

LEAVES = frozenset({"units", "errors", "findings", "moves", "reference", "program", "sweeps", "disk"})
WITH_RECUT = {
    "recut",
    "design",
    "checks",
    "loop",
    "model",
    "safety",
}  # parts of the place where the wings meet
WITH_MAKE = {"make", "economy", "report", "files", "handwork", "words", "matched"}
WITH_CLI = {"cli", "opening", "options", "__main__"}  # the command line may use everything

ALLOWED: dict[str, set[str]] = {  # who may import whom, leaves always; what those may import comes with them
    "leaves": set(),
    "geometry": set(),
    "job": set(),
    "piston": {"geometry", "job"},
    "planning": {"geometry", "job"},
    "checking": {"geometry"},
    "shop": {"geometry", "job", "piston"},
    "recut": {"geometry", "job", "piston", "planning", "shop"},
    "paper": {"geometry", "recut"},
    "make": {"recut", "checking", "postprocessors", "paper"},
    "postprocessors": set(),
}
LEAVES_OF_POSTPROCESSORS = {"moves", "errors"}


def group_of(module: str) -> str:
    """The group of the table that a module of ours belongs to."""
    first, *rest = module.split(".")
    if first == "postprocessors":
        return first
    name = rest[0] if rest else ""
    groups = {"recut": WITH_RECUT, "make": WITH_MAKE, "cli": WITH_CLI, "leaves": LEAVES}
    for group, names in groups.items():
        if name in names:
            return group
    return name


def reach_of(group: str) -> set[str]:
    """The groups that a group may import, by itself or through those that it may import."""
    reach, waiting = {group, "leaves"}, [group]
    while waiting:
        more = ALLOWED[waiting.pop()] - reach
        reach |= more
        waiting += more
    return reach


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


@pytest.mark.parametrize("path", SOURCES, ids=module_of)
def test_imports_follow_the_table(path):
    here = group_of(module_of(path))
    if here in ("cli", ""):
        return
    assert here in ALLOWED, f"{path.name} belongs to no group of the table"
    for name in filter(ours, imported(path)):
        there = group_of(name)
        if here == "postprocessors" and there == "leaves":
            assert name.split(".")[1] in LEAVES_OF_POSTPROCESSORS, f"{here} may not import {name}"
            continue
        assert there in reach_of(here), f"{here} may not import {name}"


@pytest.mark.parametrize("path", SOURCES, ids=module_of)
def test_libraries_stay_where_they_belong(path):
    module, first = module_of(path), {name.split(".")[0] for name in imported(path)}
    assert ("pydantic" in first) <= module.startswith("toolpath.job")
    assert ("matplotlib" in first) <= module.startswith("toolpath.paper")
    assert ("click" in first) <= (group_of(module) == "cli")
    if module.startswith("postprocessors"):
        assert not first & {"numpy", "shapely", "pydantic", "matplotlib", "click"}


@pytest.mark.parametrize("path", SOURCES, ids=module_of)
def test_only_the_command_line_prints_or_exits(path):
    if group_of(module_of(path)) == "cli":
        return
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            called = ast.unparse(node.func)
            assert called not in ("print", "exit", "quit", "sys.exit", "os._exit", "breakpoint", "input")
            assert called not in ("eval", "exec", "os.system", "pickle.loads")


@pytest.mark.parametrize("path", SOURCES, ids=module_of)
def test_files_are_short(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) < MOST_LINES


def test_the_package_itself_is_empty():
    assert (ROOT / "toolpath" / "__init__.py").read_text(encoding="utf-8") == ""


@pytest.mark.parametrize("group", sorted(set(ALLOWED) - {"leaves", "recut", "make", "postprocessors"}))
def test_what_a_package_really_loads(group):
    """A fresh interpreter that imports every module of a package loads nothing the table forbids."""
    modules = [m for m in map(module_of, SOURCES) if m.startswith(f"toolpath.{group}")]
    mine = {m for m in loaded(f"import {', '.join(modules)}") if ours(m)}
    assert {m for m in mine if group_of(m) not in reach_of(group) | {""}} == set()


def test_postprocessors_load_almost_nothing():
    have = loaded("import postprocessors, postprocessors.dro_table, postprocessors.recording")
    assert not have & {
        "numpy",
        "shapely",
        "matplotlib",
        "pydantic",
        "click",
        "toolpath.planning",
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
