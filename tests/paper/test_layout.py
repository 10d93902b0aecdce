"""No lettering on lettering, none over the frame: matplotlib is asked for the extents."""

import os
from collections.abc import Callable, Iterator
from itertools import combinations

import pytest
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.transforms import Bbox

from tests.paper.conftest import Drawn, with_report
from toolpath.paper.canvas import Page
from toolpath.paper.style import MARGIN, Paper
from toolpath.readings.log import Reading
from toolpath.recut import resolve

JOBS = 200 if os.environ.get("DISHPATH_THOROUGH") else 15
DPI = 254.0  # ten pixels a mm: extents come out of whole pixels of hinted type
SLACK = 0.1  # mm, for that rounding


def extents(page: Page) -> list[tuple[str, Bbox]]:
    """Every text of a page with the box that matplotlib says it fills, mm."""
    page.figure.set_dpi(DPI)
    renderer = RendererAgg(8, 8, DPI)  # only asked, never drawn on
    per_mm = DPI / 25.4
    return [
        (text.get_text(), Bbox(text.get_window_extent(renderer).get_points() / per_mm))
        for text in page.axes.texts
    ]


def collisions(page: Page) -> Iterator[tuple[str, str]]:
    """Pairs of texts whose boxes overlap."""
    for (a, one), (b, other) in combinations(extents(page), 2):
        wide = min(one.x1, other.x1) - max(one.x0, other.x0)
        tall = min(one.y1, other.y1) - max(one.y0, other.y0)
        if wide > SLACK and tall > SLACK:
            yield a, b


def outside(page: Page) -> Iterator[str]:
    """Texts that leave the frame."""
    for text, box in extents(page):
        if (
            box.x0 < MARGIN - SLACK
            or box.x1 > page.width - MARGIN + SLACK
            or box.y0 < MARGIN - SLACK
            or box.y1 > page.height - MARGIN + SLACK
        ):
            yield text


def small(page: Page) -> Iterator[str]:
    """Texts under nine points."""
    return (text.get_text() for text in page.axes.texts if text.get_fontsize() < 9 - 1e-9)


def faults(drawn: Drawn, paper: Paper = "a4") -> list[tuple[int, object]]:
    """(page, what collides, leaves the frame or is too small) of a whole sheet and of its card."""
    out: list[tuple[int, object]] = []
    for number, page in enumerate([*drawn.sheet(paper), *drawn.card(paper, rows=True)], 1):
        out += [(number, ("small", text)) for text in small(page)]
        out += [(number, pair) for pair in collisions(page)]
        out += [(number, text) for text in outside(page)]
    return out


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_samples(sample: Drawn, paper: Paper) -> None:
    assert faults(sample, paper) == []


def test_made_up_jobs(some: Callable[[int], list[Drawn]]) -> None:
    found = {drawn.recut.job.title + str(k): faults(drawn) for k, drawn in enumerate(some(JOBS))}
    assert {name: fault for name, fault in found.items() if fault} == {}


@pytest.mark.parametrize("zero", ["kept", "fresh"])
def test_stages(pump: Drawn, zero: str) -> None:
    job = pump.recut.job
    job = job.model_copy(update={"setup": job.setup.model_copy(update={"zero": zero})})
    first = resolve(job, stage="first", piston=1)
    assert first.next_cut is not None
    read = Reading(1, "first", "burette", first.next_cut.expected.volume - 40.0)
    last = with_report(resolve(job, stage="last", piston=1, readings=[read]))
    assert faults(with_report(first)) == []
    assert faults(last) == []
    said = [text.get_text() for text in last.sheet()[0].axes.texts]
    assert ("Zero kept: touch nothing off" in said) == (zero == "kept")
    assert ("set Z 0.000 mm" in said) == (zero == "fresh")
    assert any("FINISHED crown" in text for text in said)


def test_a_collision_is_seen(pump: Drawn) -> None:
    page = pump.sheet()[1]
    text = next(t for t in page.axes.texts if t.get_rotation() == 0 and t.get_horizontalalignment() == "left")
    page.text(*text.get_position(), "over it")
    assert list(collisions(page))
