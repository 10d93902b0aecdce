"""What goes in and out at the command line: plain numbers, JSON, text to the terminal or a file."""

import json
import sys
from pathlib import Path
from typing import Any

import click

from toolpath.errors import InputError
from toolpath.output.disk import write_whole


def number_of(text: str, name: str) -> float:
    """A plain number from the command line."""
    try:
        return float(text)
    except ValueError:
        raise InputError(f"{name} {text}: not a number; write it like 11.42") from None


def as_json_text(value: Any) -> str:
    """A value as JSON text for standard output, which loses no letter to a code page."""
    text = json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
    try:
        text.encode(getattr(sys.stdout, "encoding", None) or "utf-8")
    except UnicodeEncodeError:
        return json.dumps(value, indent=2, allow_nan=False)
    return text


def put(text: str, out: Path | None) -> None:
    """Text to standard output, or whole into a file, so that nobody needs to redirect."""
    if out is None:
        click.echo(text, nl=False)
        return
    write_whole(out.parent, {out.name: text.encode("utf-8", errors="replace")})
    click.echo(out)
