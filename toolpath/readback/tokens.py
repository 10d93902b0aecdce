"""Text of one block to words: letters with numbers, comments taken out."""

import re
from typing import NamedTuple

_WORD = re.compile(r"([A-Za-z])([+-]?(?:\d+\.?\d*|\.\d+))")
MOST_VALUE = 99_999.0
SHOWN = 80  # characters of a block in a message
_BLANKS = str.maketrans("", "", " \t")

_UNREADABLE = {
    "/": "a block that can be skipped by a switch makes two programs of one; take the '/' out",
    "#": "variables are not read; write the number",
    "[": "expressions are not read; write the number",
    ";": "a comment stands between ( and )",
    "%": "a % must stand alone on its line",
    ")": "a comment is closed that was not opened",
    "\r": "a line end of another system stands inside the line; end every line alike",
}


class Word(NamedTuple):
    """One word: letter, value, and the number as written."""

    letter: str
    value: float
    number: str


def words_of(text: str) -> tuple[list[Word], list[str], list[str]]:
    """The words of one block, its comments, and one sentence for each thing in it that cannot be read."""
    faults: list[str] = []
    comments: list[str] = []
    body = text
    if not text.isascii():
        odd = next(c for c in text if not c.isascii())
        faults.append(f"the character {odd!r} is not ASCII; rewrite it in plain letters")
    if "(" in body:
        body = _without_comments(body, comments, faults)
    body = body.translate(_BLANKS)
    words: list[Word] = []
    position = 0
    while position < len(body):
        match = _WORD.match(body, position)
        if match is None:
            faults.append(_unreadable(body, position))
            break
        value = float(match[2])
        if abs(value) > MOST_VALUE and match[1] not in "NO":
            faults.append(f"the number after {match[1]} is beyond {MOST_VALUE:g}; no machine goes there")
            break
        words.append(Word(match[1], value, match[2]))
        position = match.end()
    return words, comments, faults


def _without_comments(text: str, comments: list[str], faults: list[str]) -> str:
    """The text outside comments, which are added to `comments`; nested, unclosed and active ones are faults."""
    outside, inside = text, ""
    parts: list[str] = []
    while "(" in outside:
        before, _, rest = outside.partition("(")
        parts.append(before)
        inside, closed, outside = rest.partition(")")
        if "(" in inside:
            faults.append("a comment stands inside a comment; keep one pair of brackets")
            return "".join(parts)
        if not closed:
            faults.append("the comment is not closed on its line; add the )")
        odd = next((c for c in inside if c == "%" or (c.isascii() and not c.isprintable())), None)
        if odd is not None:
            faults.append(f"the comment holds {odd!r}, on which a control may act; take it out")
        comments.append(inside)
    return "".join([*parts, outside])


def _unreadable(body: str, position: int) -> str:
    character = body[position]
    reason = _UNREADABLE.get(character)
    if reason is None and character.isalpha():
        return f"the letter {character} has no number that can be read; write for example {character}1.5"
    return f"{body[position : position + 12]!r} cannot be read: {reason or 'take it out'}"


def shortened(block: str) -> str:
    """A block as messages show it."""
    return block if len(block) <= SHOWN else f"{block[: SHOWN - 3]}..."
