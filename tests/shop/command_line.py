"""The command as a process of its own."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def started(*arguments: object) -> "subprocess.Popen[str]":
    """The command, running."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "toolpath", *map(str, arguments)]
    pipe = subprocess.PIPE
    return subprocess.Popen(command, stdout=pipe, stderr=pipe, env=environment, text=True)


def dishpath(*arguments: object, exit_code: int = 0) -> str:
    """What the command says, or why it refuses."""
    process = started(*arguments)
    out, err = process.communicate(timeout=120)
    assert process.returncode == exit_code, err or out
    return out if exit_code == 0 else err
