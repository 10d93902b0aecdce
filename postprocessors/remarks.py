"""Free text made harmless: plain ASCII, one short line at a time, nothing that a control could act on."""

import re
import unicodedata
from textwrap import wrap

LINE_WIDTH = 72  # characters of a comment line, brackets included

# what a decomposition into base letter and accent does not turn into ASCII by itself
_SPELLED = str.maketrans(
    {
        "Ø": " dia ", "⌀": " dia ", "ø": "o", "°": " deg", "±": "+-", "×": "x", "·": ".", "÷": "/", "−": "-",
        "‐": "-", "‑": "-", "–": "-", "—": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "ß": "ss",
        "Æ": "AE", "æ": "ae", "Œ": "OE", "œ": "oe", "Ð": "D", "ð": "d", "Đ": "D", "đ": "d",
        "Þ": "Th", "þ": "th", "Ł": "L", "ł": "l", "ı": "i", "µ": "u", "μ": "u",
        "⁄": "/", "′": "'", "″": '"',
    }
)  # fmt: skip
_ACTIVE_WORD = re.compile(r"^(\w+|m ?s ?g) ?,|^(?=probe(?:open|close))", re.IGNORECASE)
_ACTIVE = str.maketrans({"(": "[", ")": "]", "%": " pct", ";": ","})


def plain(text: str) -> str:
    """The text as printable ASCII on one line; what has no ASCII spelling becomes "?".

    >>> plain("Kolben Nr. 2,\\n45° ±0,1")
    'Kolben Nr. 2, 45 deg +-0,1'
    """
    letters = unicodedata.normalize("NFKD", text.translate(_SPELLED)).translate(_SPELLED)
    kept = (c for c in letters if not unicodedata.combining(c))
    shown = "".join(" " if c.isspace() or unicodedata.category(c) == "Cc" else c for c in kept)
    return " ".join(re.sub(r"[^ -~]", "?", shown).split())


def comment_texts(text: str) -> tuple[str, ...]:
    """What may stand between the brackets of comment blocks, a block each; empty for an empty text.

    Round brackets become square, "%" and ";" (which end a program or start a comment on some
    controls) are spelled otherwise, and the comma of a line that begins with one word and a comma is a
    dash: "MSG," would make it an operator message (NIST IR 6556, 3.3.4), other such words exist.

    >>> comment_texts("100 % (one)")
    ('100 pct [one]',)
    """
    safe = plain(plain(text).translate(_ACTIVE))
    # two for the brackets, two for the dash
    lines = wrap(safe, LINE_WIDTH - 4, break_on_hyphens=False)
    return tuple(_ACTIVE_WORD.sub(lambda word: f"{word[1]} -" if word[1] else "- ", line) for line in lines)
