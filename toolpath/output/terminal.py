"""`check`, `make` and `readback` in words, at most 100 columns wide."""

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import fill
from typing import TYPE_CHECKING, Any

from toolpath.findings import Finding
from toolpath.units import Units, from_mm

if TYPE_CHECKING:
    from toolpath.recut import Recut

WIDTH = 100
LONGEST = 1000  # characters of one message


def plain(text: str) -> str:
    """Text from a file as a terminal may show it: no control characters, no line ends, not endless."""
    shown = "".join(c if c.isprintable() else "?" for c in text)
    return shown if len(shown) <= LONGEST else f"{shown[: LONGEST - 3]}..."


def summary(recut: "Recut", keys: dict[str, Any]) -> str:
    """What was, what will be, what to watch: stops first, notes last."""
    lines = [plain(recut.job.title)[:WIDTH] or "Untitled job"]
    if recut.design is not None:
        lines += ["What was", *_was(recut, keys), "What will be", *_will_be(recut, keys)]
    if recut.next_cut is not None:
        lines += ["Where the uncertainty comes from", *_budget(recut)]
    lines.append("What to watch")
    inch = recut.job.units == "inch"
    lines += [told(f, inch=inch) for f in recut.findings] or ["  nothing"]
    return "\n".join(lines)


def told(finding: Finding, *, inch: bool = False) -> str:
    """A finding with a hanging indent."""
    return fill(finding.line(inch=inch), WIDTH, initial_indent="  ", subsequent_indent="      ")


def _was(recut: "Recut", keys: dict[str, Any]) -> Iterator[str]:
    volume = keys["volume"]
    assert recut.design is not None
    long = _Lengths(recut.job.units)
    yield long.row("crown diameter", 2 * recut.design.received.outer)
    yield _row("dish as received", volume["as_received_cc"], "cc")
    yield _row("after the skim", volume["after_skim_cc"], "cc", f"with {long.text(recut.design.skim)} off")


def _will_be(recut: "Recut", keys: dict[str, Any]) -> Iterator[str]:
    volume, section, ratio = keys["volume"], keys["section"], keys["compression"]
    if recut.next_cut is None:
        yield _row("dish", volume["finished_cc"], "cc", f"target {volume['target_cc']:.3f} cc")
    else:
        outcome = recut.next_cut.expected
        aim = f"+- {2 * outcome.u / 1000:.3f} cc (k = 2), target {volume['target_cc']:.3f} cc"
        yield _row("dish expected", outcome.volume / 1000, "cc", aim)
        if abs(volume["finished_cc"] - outcome.volume / 1000) > 5e-4:
            yield _row("as programmed", volume["finished_cc"], "cc", "the readings make the difference")
        yield f"  {'chance':<17}{100 * outcome.chance:9.0f} %    to end within the tolerance after this cut"
    long = _Lengths(recut.job.units)
    wide = f"deep, mouth {long.text(section['mouth_diameter_mm'])} wide"
    yield long.row(section["form"], section["depth_mm"], wide)
    if section["floor_thickness_mm"] is not None:
        yield long.row("floor left", section["floor_thickness_mm"])
    gap = keys["clearance"]["holder_gap_mm"]
    if gap is not None:
        yield long.row("holder clearance", gap, "least over every move, rapids included")
    if ratio["after"] is not None:
        parts = f"skim alone {ratio['skim_alone']:.3f}, dish alone {ratio['dish_alone']:.3f}"
        yield _row("compression", ratio["after"], "to 1", f"was {ratio['before']:.3f}; {parts}")
    removed, plan = keys["removed"], keys["plan"]
    if removed is not None:
        yield _row("metal removed", removed["volume_cc"], "cc", f"{removed['mass_g']:.2f} g")
    if plan is not None:
        kinds = f"{plan['passes_skim']} skim, {plan['passes_rough']} rough, {plan['passes_finish']} finish"
        yield f"  {'time':<17}{plan['total_s'] / 60:9.1f} min  passes: {kinds}"


def _row(name: str, value: float, unit: str, more: str = "") -> str:
    return f"  {name:<17}{value:9.3f} {unit:<5}{more}".rstrip()


@dataclass(frozen=True, slots=True)
class _Lengths:
    """Lengths as the job states them."""

    units: Units

    def row(self, name: str, length: float, more: str = "") -> str:
        """A row with a length given in mm."""
        if self.units == "mm":
            return _row(name, length, "mm", more)
        return f"  {name:<17}{from_mm(length, self.units):9.4f} {'in':<5}{more}".rstrip()

    def text(self, length: float) -> str:
        """A length given in mm, with its unit."""
        return f"{length:.3f} mm" if self.units == "mm" else f"{from_mm(length, self.units):.4f} in"


def _budget(recut: "Recut") -> Iterator[str]:
    from toolpath.uncertainty.budget import budget

    assert recut.next_cut is not None
    for part in budget(recut.next_cut.planned.volume()):
        if part.share >= 0.005:
            yield fill(part.line(), WIDTH, initial_indent="  ", subsequent_indent="      ")


def after_make(recut: "Recut", keys: dict[str, Any]) -> str:
    """One line for the shop once the files are written."""
    volume, section, plan = keys["volume"], keys["section"], keys["plan"]
    deep = _Lengths(recut.job.units).text(section["depth_mm"])
    return (
        f"{volume['finished_cc']:.3f} cc, {deep} deep, {plan['total_s'] / 60:.1f} min; "
        f"read back: {keys['readback']['volume_cc']:.3f} cc, agrees"
    )


def after_readback(keys: dict[str, Any], program: str, job: str) -> str:
    """What the readback saw, and whether the program does the job."""
    rows = (
        ("volume", f"{keys['volume_cc']:.4f} cc"),
        ("gouge", f"{keys['gouge_mm']:.4f} mm at most"),
        ("stock left", f"{keys['stock_left_mm']:.4f} mm at most"),
        ("rapids in metal", f"{keys['rapid_contacts']}"),
        ("past centre", f"{keys['past_centre']}"),
    )
    lines = [f"{name:<17}{value}" for name, value in rows]
    if keys["worst_line"] is not None:
        lines.append(f"{'worst line':<17}{keys['worst_line']}")
    agrees = "does the job" if keys["ok"] else "does NOT do the job"
    return "\n".join([*lines, f"{program} {agrees} of {job}"])
