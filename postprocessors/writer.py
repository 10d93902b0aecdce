"""The contract of a postprocessor, and all that one needs to know to write another.

A postprocessor turns a `toolpath.moves.Program` into the text that one kind of control reads. It
holds words, not geometry: every move arrives in the program frame (X and Z of the control point,
X as diameter or radius, mm or inch, rounded, arc centre as i and k from the start point, i as a
radius), so a writer scales, shifts and rounds nothing. If a control needs other moves, that is a
function from moves to moves in `toolpath.program`, which runs before the writer.

    from postprocessors import find
    text = find("iso6983")(program).text()

To write a new one:
1. Derive a class from `Writer`; set the facts of the first block below. The caller reads them
   before it makes the moves: without SURFACE_SPEED they carry fixed speeds only, without
   FEED_PER_REV their feeds are per minute already.
2. Override the "must" hooks, and those "may" hooks where the dialect differs. A hook returns the
   text of one block, without block number and line end. It takes numbers through `self.word(letter,
   value)`, `self.feed_word(feed)` and, for spindle words, as finished text: it formats none itself.
3. What the dialect cannot say is never skipped: raise `self.cannot("why, and what to do")`.
4. Announce the class in the entry-point group `dishpath.postprocessors`, under its NAME.

The base does the rest: percent lines, block numbers, the head, comments that can never become a
block, the feed word only where the feed changes, coolant and spindle off before the end. The text
is ASCII with "\\n" line ends, and the same program always gives the same text.
"""

import re
from abc import ABC, abstractmethod
from collections.abc import Iterator
from typing import ClassVar, Literal

from postprocessors.numbers import trimmed, whole
from postprocessors.remarks import comment_texts
from toolpath.errors import DialectError
from toolpath.moves import (
    Arc,
    Coolant,
    FixedSpeed,
    Line,
    Move,
    Program,
    Rapid,
    Remark,
    Sense,
    SpeedCap,
    SpindleStop,
    Stop,
    SurfaceSpeed,
)

LONGEST_LINE = 256  # characters, NIST IR 6556, 3.3
BLOCK_NUMBERS = range(10, 10_000, 10)  # four digits fit every control; they start again after the last


class Writer(ABC):
    """Text of a program; see the module docstring. One instance serves one program."""

    # ---- must override: facts ------------------------------------------------------------------

    NAME: ClassVar[str]
    READS_AS: ClassVar[str]  # name of the dialect by which the readback reads the text
    SURFACE_SPEED: ClassVar[bool]  # knows constant surface speed
    FEED_PER_REV: ClassVar[bool]  # else the feeds of the moves must be per minute
    X_READING: ClassVar[Literal["diameter", "radius"]]  # unless the job says otherwise
    DECIMALS: ClassVar[dict[str, int]]  # of X, Z, I, K in mm and in inch, unless the job says otherwise
    EXTENSION: ClassVar[str]

    # ---- must override: words ------------------------------------------------------------------

    @abstractmethod
    def head(self) -> tuple[str, ...]:
        """Safe start: plane, units, absolute, feed mode, no tool radius compensation."""

    @abstractmethod
    def speed_cap(self, rpm: str) -> str:
        """Upper limit of the spindle under constant surface speed, rev/min."""

    @abstractmethod
    def surface_speed(self, speed: str) -> str:
        """Constant surface speed, m/min or ft/min."""

    @abstractmethod
    def fixed_speed(self, rpm: str) -> str:
        """Fixed spindle speed, rev/min; the start word is added by the base."""

    @abstractmethod
    def end(self) -> str:
        """End of program; the coolant is off and the spindle stopped."""

    # ---- may override --------------------------------------------------------------------------

    PROOF_STOP: ClassVar[bool] = False  # the program begins with a stop to compare X with the readout
    FEED_DECIMALS: ClassVar[dict[str, int]] = {"mm": 4, "inch": 5}
    WORK_OFFSET: ClassVar[str] = r"G5[4-9](\.\d)?( P\d{1,3})?"  # what the job may ask for
    TOOL_WORD: ClassVar[str] = r"T\d{1,8}( M0?6)?( D\d{1,3})?"

    def program_number(self, number: int) -> str:
        """First block of the program; a comment where the dialect has no word for it."""
        return self.comment(f"program {number}")

    def comment(self, text: str) -> str:
        """A comment block; the text is one short line and already harmless."""
        return f"({text})"

    def rapid(self, move: Rapid) -> str:
        """One axis at the rapid rate."""
        return "G00 " + (self.word("Z", move.z) if move.x is None else self.word("X", move.x))

    def line(self, move: Line) -> str:
        """Straight line at feed."""
        return f"G01 {self.word('X', move.x)} {self.word('Z', move.z)}{self.feed_word(move.feed)}"

    def arc(self, move: Arc) -> str:
        """Arc at feed, by its centre; the sense is the standard's, seen from +Y."""
        ends = f"{self.word('X', move.x)} {self.word('Z', move.z)}"
        centre = f"{self.word('I', move.i)} {self.word('K', move.k)}"
        return f"{'G02' if move.clockwise else 'G03'} {ends} {centre}{self.feed_word(move.feed)}"

    def stop(self, optional: bool) -> str:
        """Program stop; an optional one is taken only when the operator's switch is on."""
        return "M01" if optional else "M00"

    def spindle_start(self, sense: Sense) -> str:
        """Word that starts the spindle, in the block of its fixed speed; seen from the spindle."""
        return "M03" if sense == "cw" else "M04"

    def spindle_stop(self) -> str:
        """Spindle stop."""
        return "M05"

    def coolant(self, on: bool) -> str:
        """Coolant on or off."""
        return "M08" if on else "M09"

    # ---- don't override ------------------------------------------------------------------------

    def __init__(self, program: Program) -> None:
        self.program = program
        self.units = program.header.units
        self._naming = ""  # the move in work, for messages
        self._feed = ""  # last feed word

    def text(self) -> str:
        """The whole program. Raises DialectError, which names the move, where it cannot be written."""
        self._feed = ""
        header, lines, count = self.program.header, [], 0
        for block, numbered in self._blocks():
            if numbered and header.block_numbers:
                block = f"N{BLOCK_NUMBERS[count % len(BLOCK_NUMBERS)]} {block}"
                count += 1
            if len(block) > LONGEST_LINE or not (block.isascii() and block.isprintable()):
                raise self.cannot(f"{block!r} is not one line of at most {LONGEST_LINE} ASCII characters")
            lines.append(block + "\n")
        return "".join(["%\n", *lines, "%\n"] if header.percent else lines)

    def word(self, letter: str, value: float | None) -> str:
        """An axis or centre word; rounds nothing away, since the moves are rounded already."""
        if value is None:
            raise self.cannot(f"{letter} is missing")
        return letter + self._number(value, self.program.header.decimals)

    def feed_word(self, feed: float) -> str:
        """The feed word with a space before it, or nothing while the feed stays the same."""
        word = f" F{self._number(feed, self.FEED_DECIMALS[self.units])}"
        if feed <= 0 or word == " F0.0":
            raise self.cannot(f"the feed {feed!r} must be more than zero as written, {word.strip()}")
        if word == self._feed:
            return ""
        self._feed = word
        return word

    def cannot(self, why: str) -> DialectError:
        """The error to raise where this dialect has no words for the move in work."""
        return DialectError(f"{self.NAME} cannot write {self._naming}: {why}.")

    def _number(self, value: float, decimals: int) -> str:
        try:
            return trimmed(value, decimals)
        except DialectError as error:
            raise self.cannot(str(error).rstrip(".")) from None

    def _speed(self, value: float) -> str:
        try:
            return whole(value)
        except DialectError as error:
            raise self.cannot(str(error).rstrip(".")) from None

    def _blocks(self) -> Iterator[tuple[str, bool]]:
        """Every block with whether it takes a block number."""
        header = self.program.header
        self._naming = "the head"
        if header.program_number is not None:
            yield self.program_number(header.program_number), False
        feed = "revolution" if self.FEED_PER_REV else "minute"
        facts = f"{self.NAME}, {header.units}, X is a {header.x_reading}, feed per {feed}"
        for text in (header.title, f"Control {facts}", *header.lines):
            yield from self._remark(text)
        yield from ((block, True) for block in self.head())
        for word, pattern in ((header.work_offset, self.WORK_OFFSET), (header.tool_word, self.TOOL_WORD)):
            if word and not re.fullmatch(pattern, word, re.ASCII):
                raise self.cannot(f"{word!r} is no such word as its pattern {pattern} allows")
            if word:
                yield word, True
        cooled, turning = True, True  # not known to be off
        at: dict[str, float | None] = {"x": None, "z": None}
        for number, move in enumerate(self.program.moves, 1):
            self._naming = f"move {number}, {move}"
            if isinstance(move, Arc):
                self._check_arc(move, at["x"], at["z"])
            yield from self._move(move)
            cooled = move.on if isinstance(move, Coolant) else cooled
            turning = not isinstance(move, SpindleStop) and (turning or _starts(move))
            if isinstance(move, Rapid | Line | Arc):
                at = {"x": at["x"] if move.x is None else move.x, "z": at["z"] if move.z is None else move.z}
        self._naming = "the end"
        if cooled:
            yield self.coolant(False), True
        if turning:
            yield self.spindle_stop(), True
        yield self.end(), True

    def _move(self, move: Move) -> Iterator[tuple[str, bool]]:
        match move:
            case Rapid():
                yield self.rapid(move), True
            case Line():
                yield self.line(move), True
            case Arc():
                yield self.arc(move), True
            case Remark(text):
                yield from self._remark(text)
            case Stop(optional, text):
                yield from self._remark(text)
                yield self.stop(optional), True
            case SpeedCap(rpm):
                yield self.speed_cap(self._speed(rpm)), True
            case SurfaceSpeed(speed):
                yield self.surface_speed(self._speed(speed)), True
            case FixedSpeed(rpm, start):
                words = self.fixed_speed(self._speed(rpm))
                yield words if start is None else f"{words} {self.spindle_start(start)}", True
            case SpindleStop():
                yield self.spindle_stop(), True
            case Coolant(on):
                yield self.coolant(on), True
            case _:
                raise self.cannot("it is no move that the contract knows")

    def _remark(self, text: str) -> Iterator[tuple[str, bool]]:
        yield from ((self.comment(line), False) for line in comment_texts(text))

    def _check_arc(self, arc: Arc, x: float | None, z: float | None) -> None:
        if x is None or z is None:
            raise self.cannot("the arc has no start point; move both axes first")
        if (arc.x, arc.z) == (x, z):
            raise self.cannot("an arc that ends where it starts is read as a full circle")


def _starts(move: Move) -> bool:
    return isinstance(move, FixedSpeed) and move.start is not None
