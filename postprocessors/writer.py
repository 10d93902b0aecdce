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

The base does the rest: percent lines, block numbers, sections that stand alone (head, tool, work offset
and the first feed word again), comments that can never become a block, the feed word only where the
feed changes, coolant and spindle off before the end. The text is ASCII with "\\n" line ends, and the
same program always gives the same text.
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
    Begin,
    Coolant,
    FixedSpeed,
    Index,
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
        """Safe start of a section: plane, units, absolute, feed mode, no tool radius compensation."""

    @abstractmethod
    def speed_cap(self, rpm: str) -> str | None:
        """Upper limit of the spindle, rev/min; None where it stands with the surface speed."""

    @abstractmethod
    def surface_speed(self, speed: str, cap: str) -> str:
        """Constant surface speed, m/min or ft/min, and the cap in force, rev/min."""

    @abstractmethod
    def fixed_speed(self, rpm: str) -> str:
        """Fixed spindle speed, rev/min; the start word is added by the base."""

    @abstractmethod
    def end(self) -> str:
        """End of program; the coolant is off and the spindle stopped."""

    # ---- may override --------------------------------------------------------------------------

    FEED_DECIMALS: ClassVar[dict[str, int]] = {"mm": 4, "inch": 5}
    WORK_OFFSET: ClassVar[str] = r"G5[4-9](\.\d)?( P\d{1,3})?"  # what the job may ask for
    TOOL_WORD: ClassVar[str] = r"T\d{1,8}( M0?6)?( D\d{1,3})?"
    TOOL: ClassVar[str] = "T0101"  # unless the job says otherwise
    BEFORE_TOUCH_OFF: ClassVar[str] = ""  # what must be done first; {tool} and {offset} are the job's words
    UPPER_CASE: ClassVar[bool] = False  # comments in capitals, for controls that show no others
    TIP_NUMBERS: ClassVar[dict[str, int]] = {}  # of the control points, where the control's table has them
    WORDS: ClassVar[dict[str, str]] = {}  # M words of its own, each with the word of READS_AS that it means

    def program_number(self, number: int) -> str:
        """First block of the program; a comment where the dialect has no word for it."""
        return self.comment(f"program {number}")

    def comment(self, text: str) -> str:
        """A comment block; the text is one short line and already harmless."""
        return f"({text})"

    def tool_call(self, words: str) -> tuple[str, ...]:
        """The job's tool words, in one block or more."""
        return (words,)

    def index(self, axis: str, at: float | None) -> tuple[str, ...]:
        """Take the tool away along one axis, to a place in machine coordinates; None is its home."""
        if at is None:
            raise self.cannot("there is no word for the home of an axis; give machine.index as [x, z]")
        return (f"G53 G00 {self.word(axis.upper(), at)}",)

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
        self._cap = ""  # last cap

    def text(self) -> str:
        """The whole program. Raises DialectError, which names the move, where it cannot be written."""
        self._feed = self._cap = ""
        header, lines, count = self.program.header, [], 0
        for block, numbered in self._blocks():
            if numbered and header.block_numbers and not block.startswith("N"):
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
        for word, pattern in ((header.work_offset, self.WORK_OFFSET), (header.tool_word, self.TOOL_WORD)):
            if word and not re.fullmatch(pattern, word, re.ASCII):
                raise self.cannot(f"{word!r} is no such word as its pattern {pattern} allows")
        feed = "revolution" if self.FEED_PER_REV else "minute"
        facts = f"{self.NAME}, {header.units}, X is a {header.x_reading}, feed per {feed}"
        for text in (header.title, *header.lines, f"Control {facts}"):
            yield from self._remark(text)
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
            case Begin():
                yield from self._begin(move)
            case Index(axis, at):
                yield from ((block, True) for block in self.index(axis, at))
            case SpeedCap(rpm):
                self._cap = self._speed(rpm)
                block = self.speed_cap(self._cap)
                if block is not None:
                    yield block, True
            case SurfaceSpeed(speed):
                yield self.surface_speed(self._speed(speed), self._cap), True
            case FixedSpeed(rpm, start):
                words = self.fixed_speed(self._speed(rpm))
                yield words if start is None else f"{words} {self.spindle_start(start)}", True
            case SpindleStop():
                yield self.spindle_stop(), True
            case Coolant(on):
                yield self.coolant(on), True
            case _:
                raise self.cannot("it is no move that the contract knows")

    def _begin(self, section: Begin) -> Iterator[tuple[str, bool]]:
        """Everything that must be in force; the first block has the section's number."""
        header = self.program.header
        if section.number is not None:
            after = f" - start here only after {section.after}" if section.after else ""
            yield from self._remark(f"N{section.number} {section.title}{after}")
        blocks = [*self.head(), *self.tool_call(header.tool_word), header.work_offset]
        number = "" if section.number is None else f"N{section.number} "
        for block in filter(None, blocks):
            yield number + block, True
            number = ""
        self._feed = ""

    def _remark(self, text: str) -> Iterator[tuple[str, bool]]:
        for line in comment_texts(text):
            yield self.comment(line.upper() if self.UPPER_CASE else line), False

    def _check_arc(self, arc: Arc, x: float | None, z: float | None) -> None:
        if x is None or z is None:
            raise self.cannot("the arc has no start point; move both axes first")
        if (arc.x, arc.z) == (x, z):
            raise self.cannot("an arc that ends where it starts is read as a full circle")


def _starts(move: Move) -> bool:
    return isinstance(move, FixedSpeed) and move.start is not None
