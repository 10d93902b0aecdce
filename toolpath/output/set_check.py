"""The set before the first cut: what each piston is to become, a line each, and what the work takes."""

from collections.abc import Iterator, Sequence

from toolpath.job.model import Job
from toolpath.program.timing import timing_of
from toolpath.recut import Recut, Refused
from toolpath.report.made import report_of

FIXINGS, READINGS = 2, 2  # of one piston: first and last cut, a reading after each
HEADS = ("piston", "skim mm", "target cc", "ratio", "depth mm", "floor mm")
WIDTHS = (6, 8, 10, 8, 9, 9)


def set_check_text(job: Job, found: Sequence[tuple[int, Recut | Refused]]) -> str:
    """The set as a table of what each piston is to become."""
    lines = [job.title or "Untitled job", " ".join(f"{h:>{w}}" for h, w in zip(HEADS, WIDTHS, strict=True))]
    for number, recut in found:
        if isinstance(recut, Refused):
            lines.append(f"{number:>6}  {recut.findings[0].line(job.units)}")
            continue
        figures = report_of(recut)
        ratio = None if figures.compression is None else figures.compression.after
        cells = (
            f"{number:>6}",
            f"{recut.design.skim:>8.3f}",
            f"{figures.volume.target_cc:>10.3f}",
            _shown(ratio, 8, 3),
            f"{figures.section.depth_mm:>9.3f}",
            _shown(figures.section.floor_thickness_mm, 9, 2),
        )
        lines.append(" ".join(cells))
        lines += [f"        {f.line(job.units)}" for f in recut.findings if f.severity == "refused"]
    return "\n".join([*lines, *work_text(job, [r for _, r in found if isinstance(r, Recut)])])


def work_text(job: Job, recuts: Sequence[Recut]) -> Iterator[str]:
    """Hours and price of the set, where [times] states what a step takes."""
    if job.times is None or not recuts:
        return
    times, count = job.times, job.piston.count
    cutting = sum(timing_of(r).times.total_s for r in recuts) / len(recuts) * count / 60
    fixing, reading = FIXINGS * count * times.fixing_min, READINGS * count * times.reading_min
    minutes = times.setup_min + fixing + reading + cutting
    yield (
        f"Work: setting up {times.setup_min:.0f} min, {FIXINGS * count} fixings {fixing:.0f} min, cutting "
        f"{cutting:.0f} min, {READINGS * count} readings {reading:.0f} min: {minutes / 60:.1f} h"
    )
    if times.rate_per_hour > 0:
        price = minutes / 60 * times.rate_per_hour
        yield f"Price of the set at {times.rate_per_hour:g} an hour: {price:.0f}, {price / count:.0f} a piston"


def _shown(value: float | None, width: int, decimals: int) -> str:
    return f"{'-':>{width}}" if value is None else f"{value:>{width}.{decimals}f}"
