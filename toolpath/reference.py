"""Reference data that comes with the package: where it lies, and its tables."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any


def folder(name: str) -> Path:
    """The folder `name` ("shared", "samples"): inside the installed package, else beside it in a checkout."""
    package = Path(__file__).parent
    inside = package / name
    return inside if inside.is_dir() else package.parent / name


@cache
def table(name: str) -> Mapping[str, Any]:
    """One TOML table of `shared` as read; the units stand in the file's own comments.

    >>> table("materials")["cast-iron"]["coolant"]
    'dry'
    """
    with (folder("shared") / f"{name}.toml").open("rb") as file:
        return tomllib.load(file)
