"""Which letters the sheets can print: a font's own character map decides, a box stands for the rest."""

import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import Final, Literal

from matplotlib.font_manager import FontProperties, findfont, get_font

Face = Literal["sans", "bold", "mono"]

FAMILIES: Final[dict[Face, tuple[str, str]]] = {
    "sans": ("DejaVu Sans", "normal"),
    "bold": ("DejaVu Sans", "bold"),
    "mono": ("DejaVu Sans Mono", "normal"),
}
BOX: Final = "\N{WHITE SQUARE}"
JOINING: Final = ("Cf", "Mn", "Me")  # Unicode categories of what only changes the letter before it
MOST_NAMED: Final = 12


@lru_cache(maxsize=4)
def properties(face: Face) -> FontProperties:
    """The font of a face, as matplotlib wants it."""
    family, weight = FAMILIES[face]
    return FontProperties(family=family, weight=weight)


@lru_cache(maxsize=4)
def _known(face: Face) -> frozenset[int]:
    return frozenset(get_font(findfont(properties(face))).get_charmap())


def drawable(text: str, face: Face) -> str:
    """The text as the face can print it: a box for each letter that it lacks."""
    known = _known(face)
    return "".join(c if c == "\n" or ord(c) in known else _in_place_of(c) for c in text)


def _in_place_of(letter: str) -> str:
    return "" if unicodedata.category(letter) in JOINING else BOX


def boxed(texts: Iterable[str]) -> tuple[str, ...]:
    """One line that names the letters for which a sheet prints a box; none where it can print all."""
    letters = dict.fromkeys("".join(texts))
    lacking = [
        c for c in letters if any(BOX in drawable(c, face) for face in FAMILIES) and c not in (BOX, "\n")
    ]
    if not lacking:
        return ()
    named = " ".join(c if c.isprintable() else f"U+{ord(c):04X}" for c in lacking[:MOST_NAMED])
    more = f" and {len(lacking) - MOST_NAMED} more" if len(lacking) > MOST_NAMED else ""
    return (f"the sheets print {BOX} for {named}{more}: their font has no such letter; files keep the text",)
