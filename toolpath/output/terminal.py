"""`check`, `make` and `readback` in words, at most 100 columns wide."""

from collections.abc import Iterator, Sequence
from textwrap import fill
from typing import TYPE_CHECKING, NamedTuple

from toolpath.findings import Finding, by_urgency
from toolpath.report.figures import ReadbackFigures, Report
from toolpath.units import Units, cc, from_mm, sentence_in

if TYPE_CHECKING:
    from toolpath.job.model import Job
    from toolpath.readings.next_cut import NextCut
    from toolpath.recut import Recut, Refused

WIDTH = 100
SCREEN = 40  # lines that `check` may take
LONGEST = 1000  # characters of one message


def plain(text: str) -> str:
    """Text from a file as a terminal may show it: no control characters, no line ends, not endless."""
    shown = "".join(c if c.isprintable() else "?" for c in text)
    return shown if len(shown) <= LONGEST else f"{shown[: LONGEST - 3]}..."


def summary(recut: "Recut", report: Report, *, every: bool = False) -> str:
    """What was, what will be, what to watch: refusals first, what is only good to know last.

    It fits one screen, for which notes are left out and counted; `every` shows them all.
    """
    lines = [_title(recut.job), "What was", *_was(recut, report), "What will be", *_will_be(recut, report)]
    if recut.next_cut is not None:
        lines += ["Where the uncertainty comes from", *_budget(recut.next_cut, recut.job.units)]
    above = "\n".join(lines)
    room = None if every else SCREEN - above.count("\n") - 1
    return "\n".join([above, *_watch(recut.job, by_urgency(report.findings), room)])


def refusal(refused: "Refused", *, every: bool = False) -> str:
    """What stands in the way of a job of which nothing can be made."""
    room = None if every else SCREEN - 1
    return "\n".join([_title(refused.job), *_watch(refused.job, refused.findings, room)])


def _title(job: "Job") -> str:
    return plain(job.title)[:WIDTH] or "Untitled job"


def _watch(job: "Job", findings: Sequence[Finding], room: int | None) -> Iterator[str]:
    """The findings in at most `room` lines, as far as only notes are left out."""
    yield "What to watch"
    if not findings:
        yield "  nothing"
    texts = [told(f, job.units).split("\n") for f in findings]
    needed = sum(f.severity != "note" for f in findings)  # these stand first and are never left out
    shown = len(texts)
    if room is not None and 1 + sum(map(len, texts)) > room:
        while shown > needed and 2 + sum(map(len, texts[:shown])) > room:
            shown -= 1
    for text in texts[:shown]:
        yield from text
    if left := len(texts) - shown:
        yield f"  and {left} more {'note' if left == 1 else 'notes'}: --all shows every one"


def told(finding: Finding, units: Units) -> str:
    """A finding with a hanging indent."""
    return fill(finding.line(units), WIDTH, initial_indent="  ", subsequent_indent="      ")


def _was(recut: "Recut", report: Report) -> Iterator[str]:
    volume = report.volume
    long = _Lengths(recut.job.units)
    yield long.row("crown diameter", 2 * recut.design.received.outer)
    yield _row("dish as received", volume.as_received_cc, "cc")
    yield _row("after the skim", volume.after_skim_cc, "cc", f"with {long.text(recut.design.skim)} off")


def _will_be(recut: "Recut", report: Report) -> Iterator[str]:
    volume, section, ratio = report.volume, report.section, report.compression
    if recut.next_cut is None:
        yield _row("dish", volume.finished_cc, "cc", f"target {volume.target_cc:.3f} cc")
    else:
        outcome = recut.next_cut.expected
        aim = f"+- {cc(2 * outcome.u):.3f} cc (k = 2: 19 of 20 lie within), target {volume.target_cc:.3f} cc"
        yield _row("dish expected", cc(outcome.volume), "cc", aim)
        if abs(volume.finished_cc - cc(outcome.volume)) > 5e-4:
            yield _row("as programmed", volume.finished_cc, "cc", "the readings make the difference")
        yield f"  {'chance':<17}{100 * outcome.chance:9.0f} %    to end within the tolerance after this cut"
    long = _Lengths(recut.job.units)
    wide = f"deep, mouth {long.text(section.mouth_diameter_mm)} wide"
    if abs(section.mouth_diameter_mm - section.mouth_without_break_mm) > 1e-3:
        wide += f" over the lip break, {long.text(section.mouth_without_break_mm)} without"
    yield long.row(section.form, section.depth_mm, wide)
    if section.floor_thickness_mm is not None:
        yield long.row("floor left", section.floor_thickness_mm)
    gap = report.clearance.holder_gap_mm
    if gap is not None:
        yield long.row("holder clearance", gap, "least over every move, rapids included")
    if ratio is not None:
        parts = f"skim alone {ratio.skim_alone:.3f}, dish alone {ratio.dish_alone:.3f}"
        yield _row("compression", ratio.after, "to 1", f"was {ratio.before:.3f}; {parts}")
    removed, plan = report.removed, report.plan
    yield _row("metal removed", removed.volume_cc, "cc", f"{removed.mass_g:.2f} g")
    kinds = f"{plan.passes_skim} skim, {plan.passes_rough} rough, {plan.passes_finish} finish"
    yield f"  {'time':<17}{plan.total_s / 60:9.1f} min  passes: {kinds}"


def _row(name: str, value: float, unit: str, more: str = "") -> str:
    return f"  {name:<17}{value:9.3f} {unit:<5}{more}".rstrip()


class _Lengths(NamedTuple):
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


def _budget(cut: "NextCut", units: Units) -> Iterator[str]:
    from toolpath.uncertainty.budget import budget

    for part in budget(cut.planned.volume()):
        if part.share >= 0.005:
            yield fill(
                sentence_in(part.line(), units), WIDTH, initial_indent="  ", subsequent_indent="      "
            )


def after_make(recut: "Recut", report: Report, back: ReadbackFigures) -> str:
    """One line for the shop once the files are written."""
    volume, section, plan = report.volume, report.section, report.plan
    deep = _Lengths(recut.job.units).text(section.depth_mm)
    return (
        f"{volume.finished_cc:.3f} cc, {deep} deep, {plan.total_s / 60:.1f} min; "
        f"read back: {back.volume_cc:.3f} cc, agrees"
    )


def _small(mm: float, units: Units) -> tuple[str, str]:
    """A length of a few thousandths, with one more decimal than others, and its unit."""
    return (f"{mm:.4f}", "mm") if units == "mm" else (f"{from_mm(mm, units):.5f}", "in")


def after_readback(back: ReadbackFigures, units: Units, program: str, job: str, *, ok: bool) -> str:
    """What the readback saw, and whether the program does the job."""
    gouge, left = (" ".join(_small(mm, units)) for mm in (back.gouge_mm, back.stock_left_mm))
    rows = (
        ("volume", f"{back.volume_cc:.4f} cc"),
        ("gouge", f"{gouge} at most"),
        ("stock left", f"{left} at most"),
        ("rapids in metal", f"{back.rapid_contacts}"),
        ("past centre", f"{back.past_centre}"),
    )
    lines = [f"{name:<17}{value}" for name, value in rows]
    if back.worst_line is not None:
        lines.append(f"{'worst line':<17}{back.worst_line}")
    agrees = "does the job" if ok else "does NOT do the job"
    return "\n".join([*lines, f"{program} {agrees} of {job}"])
