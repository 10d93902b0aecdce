"""Whole processes, measured from outside: processor time and greatest memory of each run, by `os.wait4`."""

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
# a child's greatest memory is never below its parent's: a small parent starts it
LAUNCHER = """
import os, subprocess, sys
child = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL)
_, status, used = os.wait4(child.pid, 0)
child.returncode = os.waitstatus_to_exitcode(status)
print(used.ru_utime + used.ru_stime, used.ru_maxrss)
sys.exit(child.returncode)
"""
FLOOR = (sys.executable, "-c", "import numpy, shapely, click, tomllib; from pydantic import BaseModel")


def environment(cache: Path) -> dict[str, str]:
    """That of this process, with byte code kept in a folder of ours: a tool in use does not compile itself."""
    without = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    return without | {"PYTHONPYCACHEPREFIX": str(cache)}


def command(*arguments: str | Path) -> tuple[str, ...]:
    """The command line of the tool."""
    return (sys.executable, "-m", "toolpath", *map(str, arguments))


def spent(words: Sequence[str], env: Mapping[str, str]) -> tuple[float, float]:
    """Processor seconds (user and system) and greatest memory (MB) of one run.

    Raises:
        RuntimeError: the command failed.
    """
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", LAUNCHER, *words],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=dict(env),
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"{' '.join(words)}: {done.stderr}")
    seconds, memory = done.stdout.split()
    return float(seconds), float(memory) * (1 if sys.platform == "darwin" else 1024) / 1e6


def alternating(
    commands: Mapping[str, Sequence[str]], env: Mapping[str, str], rounds: int
) -> dict[str, tuple[float, float]]:
    """Median seconds and memory of each command, one run of each in turn; a first round is not counted."""
    for words in commands.values():
        spent(words, env)
    runs = [{name: spent(words, env) for name, words in commands.items()} for _ in range(rounds)]
    return {
        name: (median(run[name][0] for run in runs), max(run[name][1] for run in runs)) for name in commands
    }
