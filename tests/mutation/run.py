"""Mutation testing: do the tests bite? `mutmut` changes the code, this picks the mutants and judges.

    python tests/mutation/run.py section [--most N]

A group of modules and the tests that must notice are copied to build/mutation/GROUP. Of all mutants that
mutmut makes there, a seeded sample is run against those tests alone. A mutant that lives is either listed in
survivors.toml, with the reason why it is the same program, or it is printed and the exit code is 1.
"""

import argparse
import json
import os
import random
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
SEED = 1
KILLED = (1, 3)  # exit codes: a test failed, or broke down
LIVED = (0, 5, 33)  # all passed, or no test touches it; all others are timeouts
GROUPS: dict[str, tuple[list[str], list[str]]] = {  # modules, tests
    "section": (
        ["toolpath/geometry/*.py"],
        ["tests/geometry", "tests/outside/test_solids.py"],
    ),
    "dish": (
        ["toolpath/forms/*.py", *(f"toolpath/profile/{name}.py" for name in ("dish", "existing", "limits"))],
        ["tests/forms", "tests/profile", "tests/outside/test_solids.py"],
    ),
    "readings": (
        ["toolpath/readings/log.py", "toolpath/readings/logtext.py", "toolpath/readings/logfile.py"],
        [
            "tests/readings/test_log.py",
            "tests/readings/test_log_lines.py",
            "tests/readings/test_log_text.py",
            "tests/hostile/test_bad_readings.py",
        ],
    ),
    "postprocessors": (
        ["postprocessors/*.py"],
        ["tests/postprocessors", "postprocessors"],
    ),
    "readback": (
        ["toolpath/readback/*.py"],
        ["tests/readback", "tests/hostile/test_bad_programs.py"],
    ),
    "clearance": (
        ["toolpath/clearance/*.py"],
        ["tests/clearance"],
    ),
    "plan": (
        ["toolpath/planner/*.py", "toolpath/tool/*.py", "toolpath/table/*.py"],
        [
            "tests/planner",
            "tests/tool",
            "tests/table",
            "tests/outside/test_turning.py",
            "tests/test_golden.py",
        ],
    ),
    "program": (
        ["toolpath/program/*.py"],
        [
            "tests/program",
            "tests/postprocessors/test_heads.py",
            "tests/test_golden.py",
        ],
    ),
    "design": (
        ["toolpath/profile/design.py", "toolpath/profile/asked.py"],
        ["tests/profile"],
    ),
    "recut": (
        ["toolpath/recut.py"],
        [
            "tests/test_recut.py",
            "tests/profile/test_crown_formula.py",
            "tests/planner/test_between_the_steps.py",
            "tests/test_api.py",
            "tests/test_golden.py",
        ],
    ),
    "next-cut": (
        [f"toolpath/readings/{name}.py" for name in ("next_cut", "standing", "replay")],
        [
            "tests/readings/test_next_cut.py",
            "tests/readings/test_replay.py",
            "tests/readings/test_standing.py",
        ],
    ),
    "sensitivity": (
        ["toolpath/readings/sensitivity.py"],
        [
            "tests/readings/test_sensitivity.py",
            "tests/readings/test_next_cut.py",
            "tests/readings/test_slide_angle.py",
        ],
    ),
    "estimate": (
        ["toolpath/uncertainty/estimate.py"],
        ["tests/uncertainty"],
    ),
    "stages": (
        ["toolpath/uncertainty/stages.py"],
        ["tests/uncertainty"],
    ),
    "output": (
        ["toolpath/output/*.py"],
        ["tests/output", "tests/test_api.py", "tests/drawing/test_out.py", "tests/test_golden.py"],
    ),
}


def lines(words: list[str]) -> str:
    return "".join(f"\n    {word}" for word in words)


def prepare(group: str) -> Path:
    """A fresh copy of code and tests with the settings of one group; mutmut reads setup.cfg."""
    place = ROOT / "build" / "mutation" / group
    shutil.rmtree(place, ignore_errors=True)
    for name in ("toolpath", "postprocessors", "shared", "samples", "tests"):
        shutil.copytree(ROOT / name, place / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, place)
    modules, tests = GROUPS[group]
    (place / "setup.cfg").write_text(
        "[mutmut]\n"
        f"source_paths ={lines(['toolpath', 'postprocessors'])}\n"
        f"also_copy ={lines(['shared', 'samples', 'README.md'])}\n"
        f"only_mutate ={lines(modules)}\n" + f"pytest_add_cli_args_test_selection ={lines(tests)}\n"
        # every example the same in every run, and none remembered from another mutant
        "pytest_add_cli_args =\n    --hypothesis-profile=ci\n"
        "timeout_multiplier = 3\n",  # times what the tests take; a mutant that never ends has lost by then
        encoding="utf-8",
    )
    return place


def mutmut(place: Path, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "mutmut", *words],
        cwd=place,
        env={**os.environ, "PYTHONHASHSEED": "0", "DISHPATH_KILLS": "3"},
        capture_output=True,
        text=True,
    )
    return done.stdout + done.stderr


def verdicts(place: Path) -> dict[str, int | None]:
    """Every mutant by name with the exit code of its tests; None where it was not run."""
    found: dict[str, int | None] = {}
    for path in sorted((place / "mutants").rglob("*.meta")):
        found |= json.loads(path.read_text(encoding="utf-8"))["exit_code_by_key"]
    return found


def change(place: Path, name: str) -> dict[str, str]:
    """What a mutant is: the function, what stood there, and what stands there now."""
    shown = mutmut(place, "show", name).splitlines()
    was = [line[1:].strip() for line in shown if line.startswith("-") and not line.startswith("---")]
    now = [line[1:].strip() for line in shown if line.startswith("+") and not line.startswith("+++")]
    where = name.partition("__mutmut_")[0].replace("xǁ", "").replace("ǁ", ".").replace(".x_", ".")
    return {"where": where, "was": " ".join(was), "now": " ".join(now)}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("group", choices=GROUPS)
    parser.add_argument("--most", type=int, default=200, help="size of the sample")
    parser.add_argument("--only", nargs="*", help="these mutants, by name")
    asked = parser.parse_args()
    place = prepare(asked.group)
    chosen = asked.only
    if not chosen:
        first = mutmut(place, "run", "no such mutant")  # makes all, times the tests, then finds none to run
        names = sorted(verdicts(place))
        if not names:
            sys.stdout.write(first)
            return 2
        chosen = random.Random(SEED).sample(names, min(asked.most, len(names)))
    out = mutmut(place, "run", "--max-children", "1", *chosen)
    codes = verdicts(place)
    if any(codes.get(name) is None for name in chosen):
        sys.stdout.write(out)
        return 2
    lived = sorted(name for name in chosen if codes[name] in LIVED)
    late = sum(codes[name] not in (*LIVED, *KILLED) for name in chosen)
    same = [
        (entry["where"], entry["was"], entry["now"])
        for entry in tomllib.loads((HERE / "survivors.toml").read_text(encoding="utf-8")).get("survivor", [])
    ]
    open_ones = 0
    for name in lived:
        one = change(place, name)
        judged = (one["where"], one["was"], one["now"]) in same
        open_ones += not judged
        word = "the same" if judged else "LIVES"
        sys.stdout.write(f"{word}  {name}\n    {one['was']}\n    {one['now']}\n")
    killed = len(chosen) - len(lived)
    sys.stdout.write(
        f"{asked.group}: {killed} of {len(chosen)} killed ({100 * killed / len(chosen):.1f} %; {late} by time), "
        f"{len(lived) - open_ones} the same program, {open_ones} open; sampled from {len(codes)}, seed {SEED}\n"
    )
    return 1 if open_ones else 0


if __name__ == "__main__":
    sys.exit(main())
