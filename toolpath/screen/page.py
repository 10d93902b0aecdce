"""The page as one file of text: template, style, scripts and the data of every piston."""

import base64
import hashlib
import json
from collections.abc import Sequence
from html import escape
from pathlib import Path

from toolpath.screen.piece import Piece

HERE = Path(__file__).parent
SCRIPTS = ("state.js", "setup.js", "rows.js", "section.js", "flank.js", "cut.js", "start.js")  # in this order


def page(pieces: Sequence[Piece]) -> str:
    """The page for these pistons, each with its own views, in the order given.

    Titles, names and notes go in as data and come out as text. The page's own policy lets it run its
    own script and style, known by their hashes, and ask for nothing else.

    Raises:
        ValueError: there is no piece.
    """
    if not pieces:
        raise ValueError("a page needs at least one piece")
    style = _own("page.css")
    script = "\n".join(("'use strict';", *map(_own, SCRIPTS)))
    policy = (
        f"default-src 'none'; script-src {_hash(script)}; style-src {_hash(style)}; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    parts = {
        "POLICY": escape(policy),
        "TITLE": escape(pieces[0].data["title"]),
        "STYLE": style,
        "DATA": _data([{"key": piece.key, **piece.data} for piece in pieces]),
        "SCRIPT": script,
    }
    first, *rest = _own("page.html").split("{{")
    out = [first]
    for piece in rest:  # what is put in is never searched again
        name, after = piece.split("}}", 1)
        out += [parts[name], after]
    return "".join(out)


def _own(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _data(value: object) -> str:
    """JSON that no text within can end early: an HTML parser looks for a less-than sign."""
    text = json.dumps(value, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
