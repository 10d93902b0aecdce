"""What a job states about its program beside the section: words, speeds, feeds, stops, lines of the head."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple


class Section(NamedTuple):
    """What runs between two stops: least and highest fixed speeds (rev/min), surface speed (m/min), None for none.

    `halt` is the word that ends it: "M0", "M1", or "" at the end of the program. `feeding` are the fixed
    speeds under which it feeds; only a section that `cuts` may feed.
    """

    halt: Literal["M0", "M1", ""]
    turning: tuple[float, float] | None
    feeding: tuple[float, float] | None
    surface: float | None
    cuts: bool


class Stated(NamedTuple):
    """The values that a program's text is held against.

    `tool` and `work_offset` are words ("" is not looked at); `swing` is where the turret swings, in program
    units; `cap` rev/min; `feed` mm/rev, the highest where metal may stand; `ramp` rad, and `ramp_bite` mm,
    what may stand under a steeper one; `lines` are those of head and proof that must not say otherwise, after
    the `title`, which may say anything; `words` are those of the writer's own with their meaning.
    """

    spindle: Literal[3, 4]
    tool: str
    work_offset: str
    swing: Literal["none", "home"] | tuple[float, float]
    cap: float | None
    sections: tuple[Section, ...]
    feed: float
    ramp: float
    ramp_bite: float
    coolant: bool
    title: str
    lines: tuple[str, ...]
    words: Mapping[str, str] = MappingProxyType({})

    def section(self, number: int) -> Section:
        """The section after that many stops; a program with too many of them is told by itself."""
        return self.sections[min(number, len(self.sections) - 1)]
