"""Dangerous edits of a program, from the facts of its dialect, so that a new dialect gets them too.

Each is what a tired person does at the control or in an editor: a digit, a word, a line too many or few.
"""

import re
from collections.abc import Iterator
from functools import partial

from toolpath.readback.dialects import RULES, WordTable

Edit = tuple[str, str]  # what was done, and the text


def edits_of(text: str, dialect: str) -> Iterator[Edit]:
    """Every dangerous edit of a program in that dialect."""
    rules = RULES[dialect]  # type: ignore[index]
    lines = text.split("\n")
    yield from _speeds(lines, rules)
    yield from _feeds(lines)
    yield from _calls(lines)
    yield from _stops(lines)
    yield from _modes(lines, rules)
    yield from _comments(lines)
    yield from _moves(lines)
    yield from _added(lines, rules)


def _with(lines: list[str], at: int, *new: str) -> str:
    return "\n".join([*lines[:at], *new, *lines[at + 1 :]])


def _blocks(lines: list[str], pattern: str) -> list[int]:
    return [n for n, line in enumerate(lines) if not line.startswith("(") and re.search(pattern, line)]


def _changed(lines: list[str], pattern: str, new: str, name: str) -> Iterator[Edit]:
    """The edit at every block that has the word, one at a time."""
    for at in _blocks(lines, pattern):
        yield f"{name} (line {at + 1})", _with(lines, at, re.sub(pattern, new, lines[at]).strip())


def _ten_times(lines: list[str], pattern: str, name: str) -> Iterator[Edit]:
    for at in _blocks(lines, pattern)[:3]:
        edited = re.sub(pattern, lambda word: f"{word[1]}{word[2]}0", lines[at])
        yield f"{name} ten times (line {at + 1})", _with(lines, at, edited)


def _speeds(lines: list[str], rules: WordTable) -> Iterator[Edit]:
    if rules.cap:
        yield from _ten_times(lines, rf"({rules.cap} S)(\d+)", "cap")
    if rules.cap_beside:
        yield from _ten_times(lines, r"(G96 D)(\d+)", "cap")
        yield from _changed(lines, r" D\d+", "", "cap taken out")
    if "G96" in rules.groups:
        yield from _ten_times(lines, r"(G96.* S)(\d+)", "surface speed")
    yield from _ten_times(lines, r"(S)(\d+)(?= M0[34])", "fixed speed")
    yield from _changed(lines, r"M03", "M04", "spindle the other way")
    yield from _changed(lines, r" M0[34]", "", "spindle not started")


def _feeds(lines: list[str]) -> Iterator[Edit]:
    words = [float(word[1]) for line in lines if (word := re.search(r" F([\d.]+)$", line))]
    cutting = min(words)
    for factor in (3.5, 23, 24):
        edited = [re.sub(r"(?<= F)[\d.]+$", partial(_times, factor), line) for line in lines]
        yield f"every feed times {factor}", "\n".join(edited)
    slow = _blocks(lines, rf" F{re.escape(f'{cutting:g}')}(\.0)?$")
    for at in slow[:3]:
        yield f"cutting feed taken out (line {at + 1})", _with(lines, at, lines[at].rsplit(" ", 1)[0])
    edited = [line.rsplit(" ", 1)[0] if n in slow else line for n, line in enumerate(lines)]
    yield "every cutting feed taken out", "\n".join(edited)


def _times(factor: float, number: re.Match[str]) -> str:
    return f"{float(number[0]) * factor:.4f}"


def _calls(lines: list[str]) -> Iterator[Edit]:
    for other in ("T0100", "T0102", "T0202", "T2", "T10"):
        yield from _changed(lines, r"T\d+", other, f"tool {other}")
    yield from _changed(lines, r"T\d+.*", "", "tool taken out")
    yield from _changed(lines, r" M0?6\b", "", "tool change taken out")
    yield from _changed(lines, r"G43.*", "", "offset taken out")
    yield from _changed(lines, r"G43.*", "G43 H2", "another offset")
    yield from _changed(lines, r"G43.*", "G49", "offset off")
    yield from _changed(lines, r"G54", "G55", "work offset")
    yield from _changed(lines, r"G54", "", "work offset taken out")


def _stops(lines: list[str]) -> Iterator[Edit]:
    yield "every M05 taken out", "\n".join(line for line in lines if line != "M05")
    for at in _blocks(lines, r"^M05$")[1:]:
        yield f"M05 taken out (line {at + 1})", _with(lines, at)
    for at in _blocks(lines, r"^M00$"):
        yield f"M00 taken out (line {at + 1})", _with(lines, at)
    for at in _blocks(lines, r"^M01$"):
        yield f"M01 taken out (line {at + 1})", _with(lines, at)
    yield from _changed(lines, r"^M00$", "M01", "the stop an optional one")


def _modes(lines: list[str], rules: WordTable) -> Iterator[Edit]:
    for old, new in (("G21", "G20"), ("G20", "G21"), ("G18", "G17"), ("G40", "G42"), ("G90", "G91")):
        yield from _changed(lines, rf"{old}\b", new, f"{new} for {old}")
    for word in ("G90", *rules.x_words):
        yield from _changed(lines, rf" ?\b{word}\b", "", f"{word} taken out")
    for word in rules.feed_modes:
        changed = list(_changed(lines, rf" ?\b{word}\b", "", f"{word} taken out"))
        yield from changed[1:]  # nothing is fed before the proof
    for old, new in (
        ("G61", "G64"),
        ("G7", "G8"),
        ("G8", "G7"),
        ("G95", "G94"),
        ("G99", "G98"),
        ("G94", "G93"),
    ):
        if old in rules.groups:
            yield from _changed(lines, rf"\b{old}\b", new, f"{new} for {old}")


def _comments(lines: list[str]) -> Iterator[Edit]:
    first = next(n for n, line in enumerate(lines) if line.startswith("("))
    bare = lines[first].rstrip(")")
    yield "a block behind a carriage return in a comment", _with(lines, first, f"{bare}\rG00 Z-5.0\r)")
    yield "a percent sign in a comment", _with(lines, first, f"{bare}%)")
    yield "a control character in a comment", _with(lines, first, f"{bare}\x07)")
    leads = r"\((?:PISTON|ONE CUT|MARK|Z:|X:|CHECK:|.*GAUGE)"
    for n, line in enumerate(lines):
        if re.match(leads, line.upper()) and (digit := re.search(r"\d", line)):
            k = digit.start()
            yield (
                f"another figure in {line}",
                _with(lines, n, f"{line[:k]}{(int(line[k]) + 1) % 10}{line[k + 1 :]}"),
            )


def _moves(lines: list[str]) -> Iterator[Edit]:
    axis = [n for n in _blocks(lines, r"^G01 X0\.0 Z\S+ F") if re.search(r" Z", lines[n - 1])]
    for at in axis:
        above, here = (re.search(r"Z(\S+)", lines[n]) for n in (at - 1, at))
        if above and here and float(above[1]) > float(here[1]) + 0.05:
            feed = lines[at].rsplit(" ", 1)[1]
            plunge = (f"G01 X0.0 Z{above[1]} {feed}", f"G01 X0.0 Z{here[1]}")
            yield f"a plunge at the axis (line {at + 1})", _with(lines, at, *plunge)
            break
    edge = next((n for n, line in enumerate(lines) if "BREAK THE EDGE" in line.upper()), None)
    if edge is not None:
        rest = next(n for n in range(edge, len(lines)) if re.match(r"G97|M09|M05|S\d", lines[n]))
        yield "the edge break left out", "\n".join([*lines[:edge], *lines[rest:]])
    cutting = min(float(word[1]) for line in lines if (word := re.search(r" F([\d.]+)$", line)))
    feeds = _blocks(lines, rf"^G01 X\S+ Z-?\d+\.\d+ F{re.escape(f'{cutting:g}')}(\.0)?$")
    for at in (feeds[1], feeds[len(feeds) // 2], feeds[-1]):
        yield f"a cut at rapid (line {at + 1})", _with(lines, at, lines[at].replace("G01", "G00"))
        yield f"a point lost (line {at + 1})", _with(lines, at, re.sub(r"(Z-?\d+)\.\d+", r"\1", lines[at]))
    section = [n for n, line in enumerate(lines) if re.match(r"N\d+ G", line)]
    if len(section) > 2:
        yield "a section left out", "\n".join([*lines[: section[1]], *lines[section[2] :]])
        yield "the last section left out", "\n".join([*lines[: section[-1]], *lines[-3:]])


def _added(lines: list[str], rules: WordTable) -> Iterator[Edit]:
    last = _blocks(lines, r"^G01")[-1]
    cut = next(n for n in _blocks(lines, r"^G01") if n)
    home = [pattern.split("|")[0] for pattern in rules.swing.values()]
    words = [
        "M49",
        "G91",
        "G10 L2 P1 Z1.0",
        "G52 Z1.0",
        "M98 P1",
        "G04",
        "G92 X0.0",
        "M30",
        "M02",
        "G53 G00 X0.0",
    ]
    for word in words + [one for one in home if "(" not in one]:
        yield f"{word} added", _with(lines, last, word, lines[last])
    yield "a stop in the cut", _with(lines, cut, "M00", lines[cut])
