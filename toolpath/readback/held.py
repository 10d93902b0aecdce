"""The text of a program held against what its job states: words, speeds, stops, lines of the head."""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from toolpath.findings import Severity
from toolpath.readback.dialects import word_name
from toolpath.readback.motions import Motion
from toolpath.readback.reader import Halt, ReadProgram
from toolpath.readback.stated import Stated
from toolpath.readback.tokens import words_of

MORE = 1.01  # times what the job states
MOST_WRAPPED = 8  # comment blocks that one line of the head takes
ONE = 1.0  # rev/min or m/min below which a lower speed is rounding


class Difference(NamedTuple):
    """One difference: its code, line and block, what it is, and what would do."""

    severity: Severity
    code: str
    line: int
    block: str
    what: str
    advice: str = ""


def differences(reading: ReadProgram, stated: Stated) -> Iterator[Difference]:
    """Everything in which the text says otherwise than its job."""
    yield from _calls(reading, stated)
    yield from _stops(reading, stated)
    yield from _speeds(reading, stated)
    yield from _coolant(reading, stated)
    yield from _lines(reading, stated)


def _calls(reading: ReadProgram, stated: Stated) -> Iterator[Difference]:
    """Tool, its offset and the work offset at the beginning of each section; where the turret swings."""
    if stated.tool:
        wanted = tool_of(stated.tool)
        for line, block, tool in reading.tools:
            if tool != wanted:
                called = _named(tool) or "no tool"
                what = f"the section moves under {called}, the job says {stated.tool}"
                yield Difference(
                    "refused", "readback-tool", line, block, what, f"call {stated.tool} before it"
                )
    if stated.work_offset:
        for line, block, offset in reading.offsets:
            if offset != stated.work_offset:
                what = (
                    f"the section moves under {offset or 'no work offset'}, the job says {stated.work_offset}"
                )
                advice = f"write {stated.work_offset} before it"
                yield Difference("refused", "readback-work-offset", line, block, what, advice)
    wanted_places: tuple[tuple[str, float | None], ...] = ()
    if stated.swing == "home":
        wanted_places = (("Z", None), ("X", None))
    elif stated.swing != "none":
        wanted_places = (("Z", stated.swing[1]), ("X", stated.swing[0]))
    found = tuple((axis, at) for _, _, axis, at in reading.away)
    if found != wanted_places:
        line, block = next(((n, b) for n, b, _, _ in reading.away), _first(reading))
        what = "the tool goes away before its call otherwise than machine.index says"
        yield Difference(
            "refused", "readback-index", line, block, what, "put the moves back as they were made"
        )


def _stops(reading: ReadProgram, stated: Stated) -> Iterator[Difference]:
    """Every stop in its order, with the spindle standing."""
    for halt in reading.halts:
        if halt.turning:
            what = "the spindle still turns at this stop"
            yield Difference(
                "refused", "readback-spindle", halt.line, halt.block, what, "write M05 before it"
            )
    halts = [halt for halt in reading.halts if halt.word not in ("M2", "M30")]
    found = ["M0" if halt.word == "M60" else halt.word for halt in halts]
    wanted = [section.halt for section in stated.sections[:-1]]
    if found == wanted:
        yield from _order(reading, stated)
        return
    place = next((k for k, (a, b) in enumerate(zip(found, wanted, strict=False)) if a != b), len(found))
    line, block = _at(reading, halts, min(place, len(halts)))
    if found == [word for word in wanted if word == "M0"]:
        what, advice = "the optional stops of the job are not in the program", "make the program again"
        yield Difference("warning", "readback-stop", line, block, what, advice)
        return
    missing = len(wanted) - len(found)
    what = f"{missing} stop(s) of the job are missing here" if missing > 0 else "the stops are not the job's"
    advice = "put back the stop that the program was made with"
    yield Difference("refused", "readback-stop", line, block, what, advice)


def _order(reading: ReadProgram, stated: Stated) -> Iterator[Difference]:
    """A section that proves does not feed, one that cuts does."""
    for number, section in enumerate(stated.sections):
        feeds = [m for m in reading.motions if m.mode.section == number and not m.rapid]
        if feeds and not section.cuts:
            what = "the tool feeds before the stop that the job has before any cut"
            yield Difference(
                "refused", "readback-stop", feeds[0].line, feeds[0].block, what, "move the stop back"
            )
        elif section.cuts and not feeds:
            line, block = _at(reading, list(reading.halts), number)
            what, advice = "nothing is cut before this stop, the job cuts here", "put the section back"
            yield Difference("refused", "readback-stop", line, block, what, advice)


def _at(reading: ReadProgram, halts: list[Halt], number: int) -> tuple[int, str]:
    """Line and block of the stop of that number, or of the last stop, or of the first motion."""
    if halts:
        halt = halts[min(number, len(halts) - 1)]
        return halt.line, halt.block
    return _first(reading)


def _first(reading: ReadProgram) -> tuple[int, str]:
    return next(((m.line, m.block) for m in reading.motions), (1, ""))


def _speeds(reading: ReadProgram, stated: Stated) -> Iterator[Difference]:
    """Cap, surface speed and fixed speed, told once a section and kind."""
    told: set[tuple[object, ...]] = set()
    for motion in reading.motions:
        for key, difference in _speed(motion, stated):
            if key not in told:
                told.add(key)
                yield difference


def _speed(motion: Motion, stated: Stated) -> Iterator[tuple[tuple[object, ...], Difference]]:
    mode = motion.mode
    if not mode.turning:
        return
    section = stated.section(mode.section)
    fixed = section.turning if motion.rapid else section.feeding
    surface = None if section.surface is None else (section.surface, section.surface)
    cap = None if stated.cap is None else (stated.cap, stated.cap)
    kinds: list[tuple[str, float | None, tuple[float, float] | None, str]] = (
        [("surface speed", mode.speed, surface, "m/min"), ("spindle cap", mode.cap, cap, "rev/min")]
        if mode.surface
        else [("fixed speed", mode.speed, fixed, "rev/min")]
    )
    for name, value, limits, of in kinds:
        if value is None:
            continue
        words, advice = f"the {name} is {value:.0f} {of}", "put the speed back"
        said = "states none here" if limits is None else f"says {limits[1]:.0f}"
        if limits is None or value > limits[1] * MORE:
            severity: Severity = "refused"
        elif value < limits[0] / MORE and value < limits[0] - ONE:
            severity = "warning"
        else:
            continue
        key = (mode.section, name, value)
        what_else = f"{words}, the job {said}"
        code = "readback-speed"
        yield key, Difference(severity, code, motion.line, motion.block, what_else, advice)


def _coolant(reading: ReadProgram, stated: Stated) -> Iterator[Difference]:
    if not stated.coolant:
        return
    dry = next((m for m in reading.motions if not m.rapid and not m.mode.coolant), None)
    if dry is not None:
        what, advice = "the tool feeds without the coolant of the job", "switch it on before"
        yield Difference("warning", "readback-coolant", dry.line, dry.block, what, advice)


def _lines(reading: ReadProgram, stated: Stated) -> Iterator[Difference]:
    """The lines of head and proof; capitals, spacing and wrapping do not count."""
    comments = [(line, _bare(text)) for line, text in reading.comments]
    titled = _lines_of(_bare(stated.title), comments)
    seen: set[str] = set()
    leads: dict[str, list[str]] = {}
    for text in stated.lines:
        leads.setdefault(_lead(text), []).append(_bare(text))
    for k, (line, bare) in enumerate(comments):
        lead = next((lead for lead in leads if re.match(lead, bare)), None)
        if lead is None or k < titled:
            continue
        whole = {"".join(more for _, more in comments[k:to]) for to in range(k + 1, k + 1 + MOST_WRAPPED)}
        fits = [text for text in leads[lead] if text in whole]
        if fits:
            seen.update(fits)
        else:
            block = next(text for number, text in reading.comments if number == line)
            what = "this line says otherwise than the job"
            advice = "make the program again, or put the line back"
            yield Difference("refused", "readback-line", line, f"({block})", what, advice)
            seen.update(leads[lead])
    gone = [text for text in stated.lines if _bare(text) not in seen]
    if gone:
        line, block = _first(reading)
        what, advice = f'the line "{gone[0]}" is not in the program', "make the program again"
        yield Difference("warning", "readback-line", line, block, what, advice)


def _bare(text: str) -> str:
    return re.sub(r"\s", "", text).upper()


def _lines_of(title: str, comments: Sequence[tuple[int, str]]) -> int:
    """How many of the first comments are the title, which may say anything; a program number may stand first."""
    for first in (0, 1):
        for to in range(first + 1, first + 1 + MOST_WRAPPED):
            if title and "".join(text for _, text in comments[first:to]) == title:
                return to
    return 0


def _lead(text: str) -> str:
    """The pattern by which a line is known whatever else it says: up to a colon, its mark or its dash.

    >>> _lead("PISTON 3 OF 4 - LAST CUT"), _lead("Z: touch off"), _lead("MARK 7F3")
    ('PISTON\\\\d+OF\\\\d+', 'Z:', 'MARK')
    """
    head, colon, _ = text.partition(":")
    if not colon:
        head = head.split()[0] if head.startswith("MARK ") else head.partition(" - ")[0]
    return re.sub(r"\d+", lambda _: r"\d+", re.escape(_bare(head))) + colon


def tool_of(words: str) -> dict[str, float]:
    """The words of a tool call as the reader keeps them.

    >>> tool_of("T1 M6 G43 H1")
    {'T': 1.0, 'M6': 1.0, 'G43': 1.0, 'H': 1.0}
    """
    found, _, _ = words_of(words)
    return {
        (word_name(w.letter, w.value) or w.letter) if w.letter in "GM" else w.letter: (
            1.0 if w.letter in "GM" else w.value
        )
        for w in found
    }


def _named(tool: Mapping[str, float]) -> str:
    return " ".join(word if word[0] in "GM" else f"{word}{value:g}" for word, value in tool.items())
