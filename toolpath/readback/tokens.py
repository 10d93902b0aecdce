"""Text of one block to words: letters with numbers, comments taken out."""

import re
from dataclasses import dataclass

_WORD = re.compile(r"([A-Za-z])([+-]?(?:\d+\.?\d*|\.\d+))")
MOST_VALUE = 99_999.0
SHOWN = 80  # characters of a block in a message
_BLANKS = str.maketrans("", "", " \t\r")

_UNREADABLE = {
    "/": "a block that can be skipped by a switch makes two programs of one; take the '/' out",
    "#": "variables are not read; write the number",
    "[": "expressions are not read; write the number",
    ";": "a comment stands between ( and )",
    "%": "a % must stand alone on its line",
    ")": "a comment is closed that was not opened",
}


@dataclass(frozen=True, slots=True)
class Word:
    """One word: letter, value, and the number as written."""

    letter: str
    value: float
    number: str


def words_of(text: str) -> tuple[list[Word], list[str]]:
    """The words of one block, and one sentence for each thing in it that cannot be read."""
    faults: list[str] = []
    body = text
    if not text.isascii():
        odd = next(c for c in text if not c.isascii())
        faults.append(f"the character {odd!r} is not ASCII; rewrite it in plain letters")
    if "(" in body:
        body = _without_comments(body, faults)
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
    return words, faults


def _without_comments(text: str, faults: list[str]) -> str:
    """The text outside comments; nested and unclosed ones are faults."""
    out: list[str] = []
    inside = False
    for character in text:
        if not inside and character == "(":
            inside = True
        elif inside and character == "(":
            faults.append("a comment stands inside a comment; keep one pair of brackets")
            return "".join(out)
        elif inside and character == ")":
            inside = False
        elif not inside:
            out.append(character)
    if inside:
        faults.append("the comment is not closed on its line; add the )")
    return "".join(out)


def _unreadable(body: str, position: int) -> str:
    character = body[position]
    reason = _UNREADABLE.get(character)
    if reason is None and character.isalpha():
        return f"the letter {character} has no number that can be read; write for example {character}1.5"
    return f"{body[position : position + 12]!r} cannot be read: {reason or 'take it out'}"


def shortened(block: str) -> str:
    """A block as messages show it."""
    return block if len(block) <= SHOWN else f"{block[: SHOWN - 3]}..."
