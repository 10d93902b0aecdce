"""Moves in machine coordinates: only to swing the turret, before a tool is called, Z alone, then X alone."""

import re
from collections.abc import Callable, Sequence

from toolpath.readback.dialects import IndexWords
from toolpath.readback.tokens import Word


class Indexing:
    """Recognises the forms that a dialect allows; anything else in machine coordinates stays refused."""

    def __init__(self, allowed: IndexWords, fault: Callable[[str], None]) -> None:
        self.allowed, self.fault = allowed, fault
        forms = (form for pattern in allowed.values() for form in pattern.split("|"))
        self.first_words = frozenset(form.split()[0] for form in forms)
        self.gone = ""  # axes in the order in which they were taken away in this section
        self.place: tuple[str, float | None] = ("", None)  # the last: axis, machine coordinate, None for home

    def begin(self) -> None:
        """A section begins: the tool may go away once more."""
        self.gone = ""

    def takes(self, words: Sequence[Word], *, tool_called: bool, turning: bool) -> bool:
        """Whether the block is such a move; what is wrong about its place in the program is a fault."""
        if not words or _text(words[0]) not in self.first_words:  # nearly all blocks
            return False
        text = " ".join(map(_text, words))
        for axis, pattern in self.allowed.items():
            found = re.fullmatch(pattern, text)
            if found is None:
                continue
            if tool_called or turning:
                self.fault("it moves in machine coordinates after the tool call; only before it is allowed")
            if axis in self.gone or (axis == "X" and self.gone != "Z"):
                self.fault("the tool goes away along Z alone, then along X alone; put them in that order")
            self.gone += axis
            at = next((group for group in found.groups() if group is not None), None)
            self.place = (axis, None if at is None else float(at))
            return True
        return False


def _text(word: Word) -> str:
    return f"{word.letter}{word.value:g}"
