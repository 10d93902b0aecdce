"""The customer's record: what a PDF reader finds in it, its pages, and the same bytes every time."""

import io
import re
from dataclasses import replace
from typing import Any

import matplotlib as mpl
import pytest
from pypdf import PdfReader

from tests.paper.conftest import Drawn, sample
from toolpath.matching.summary import set_summary
from toolpath.output.set import set_keys
from toolpath.paper import record, style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box
from toolpath.paper.record import record_page
from toolpath.readings.log import Log, Reading
from toolpath.reference import table

POINT = 72 / 25.4  # points in a mm


def keys_of(drawn: Drawn, *readings: Reading) -> dict[str, Any]:
    assert drawn.recut.design is not None
    return set_keys(set_summary(drawn.recut, Log(readings)), drawn.recut.design.target)


def three(piston: int, received: float, first: float, last: float) -> tuple[Reading, ...]:
    return (
        Reading(piston, "as-received", "burette", received),
        Reading(piston, "first", "burette", first, cut_depth=3.0),
        Reading(piston, "last", "burette", last, cut_depth=3.1),
    )


def large(drawn: Drawn, count: int) -> dict[str, Any]:
    """A set of that many pistons, all alike."""
    keys = keys_of(drawn, *three(1, 9250.0, 11450.0, 11610.0))
    one = keys["pistons"][0]
    return {**keys, "pistons": [{**one, "piston": n} for n in range(1, count + 1)]}


def text_of(pdf: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages))


def test_before_and_after_of_every_piston(pump: Drawn) -> None:
    keys = keys_of(pump, *three(1, 9250.0, 11450.0, 11610.0), *three(2, 9310.0, 11420.0, 11560.0))
    text = text_of(record_page(pump.recut, keys))
    one, two = keys["pistons"][:2]
    assert f"1 9.25 11.45 11.61 0.01 {one['removed_g']:.2f} {one['compression']:.2f} within" in text
    assert f"2 9.31 11.42 11.56 -0.04 {two['removed_g']:.2f} {two['compression']:.2f} within" in text
    assert "3 - - - - - - not finished" in text
    assert "2 of 4 pistons" in text
    assert "0.05 cc between the largest and the smallest" in text


def test_target_method_and_burette(pump: Drawn) -> None:
    text = text_of(record_page(pump.recut, keys_of(pump)))
    assert "11.600 cc, tolerance ± 0.1 cc" in text
    assert "a plate laid across the finished crown" in text
    assert "lines 0.05 cc apart, ISO 385:2005 class A: ± 0.03 cc" in text
    # JCGM 100, 4.3.7: rectangles of half-width 0.03 and 0.025 cc; 2 * sqrt((0.03^2 + 0.025^2) / 3)
    assert "± 0.045 cc for one reading (k = 2: 19 of 20 lie within)" in text


def test_lines_to_sign_and_cautions(pump: Drawn) -> None:
    text = text_of(record_page(pump.recut, keys_of(pump)))
    assert text.count("date") == 2
    assert "measured by" in text
    lines = [line for line in table("cautions")["sheet"]["lines"] if line in text]
    assert len(lines) == 2
    assert any("engine builder" in line for line in lines)


@pytest.mark.parametrize(
    ("final", "word"), [(11700.0, "within"), (11701.0, "over"), (11500.0, "within"), (11499.0, "short")]
)
def test_a_reading_on_the_limit_is_within(pump: Drawn, final: float, word: str) -> None:
    text = text_of(record_page(pump.recut, keys_of(pump, *three(1, 9300.0, 11450.0, final))))
    assert re.search(r"1 9\.30 11\.45 \S+ \S+ \S+ \S+ (\w+)", text)[1] == word


def test_common_target_is_said(pump: Drawn) -> None:
    readings = (*three(1, 9300.0, 11450.0, 11800.0), *three(2, 9300.0, 11450.0, 11600.0))
    assert "11.80 cc, which the whole set can still meet" in text_of(
        record_page(pump.recut, keys_of(pump, *readings))
    )


def test_job_without_burette_or_engine() -> None:
    drawn = sample("blank-bowl")
    job = drawn.recut.job.model_copy(update={"burette": None})
    recut = replace(drawn.recut, job=job)
    assert "method and burette not stated" in text_of(record_page(recut, keys_of(drawn)))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_paper(pump: Drawn, paper: style.Paper) -> None:
    page = PdfReader(io.BytesIO(record_page(pump.recut, keys_of(pump), paper=paper))).pages[0]
    wide, tall = style.SIZES[paper]
    assert float(page.mediabox.width) == pytest.approx(wide * POINT, abs=0.5)
    assert float(page.mediabox.height) == pytest.approx(tall * POINT, abs=0.5)


def test_same_set_same_bytes_without_date_or_tool(pump: Drawn) -> None:
    keys = keys_of(pump, *three(1, 9250.0, 11450.0, 11610.0))
    first = record_page(pump.recut, keys)
    assert first == record_page(pump.recut, keys)
    for word in (b"CreationDate", b"Producer", b"atplotlib"):
        assert word not in first
    assert b"/Type3" not in first.replace(b" ", b"")


@pytest.mark.parametrize("count", [1, 24, 25, 26, 27, 28, 29, 60, 1000])
def test_every_piston_once_however_large_the_set(pump: Drawn, count: int) -> None:
    reader = PdfReader(io.BytesIO(record_page(pump.recut, large(pump, count))))
    rows = [
        int(n)
        for page in reader.pages
        for n in re.findall(r"^(\d+) 9\.25 ", page.extract_text(), re.MULTILINE)
    ]
    assert rows == list(range(1, count + 1))
    for number, page in enumerate(reader.pages, 1):
        assert f"page {number} of {len(reader.pages)}" in page.extract_text()
    assert "measured by" in reader.pages[-1].extract_text()


@pytest.mark.parametrize("count", [4, 24, 25, 28, 29, 61, 62])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_lettering_keeps_apart_and_on_the_page(
    pump: Drawn, monkeypatch: pytest.MonkeyPatch, count: int, paper: style.Paper
) -> None:
    sheets: list[Page] = []

    class Kept(Page):
        def __init__(self, paper: style.Paper) -> None:
            super().__init__(paper)
            sheets.append(self)

    monkeypatch.setattr(record, "Page", Kept)
    record_page(pump.recut, large(pump, count), paper=paper)
    for sheet in sheets:
        boxes: list[Box] = sheet.taken.boxes
        assert all(box.within(sheet.inside) for box in boxes)
        assert not [(a, b) for k, a in enumerate(boxes) for b in boxes[:k] if a.touches(b)]


def test_settings_of_the_page_do_not_leak(pump: Drawn) -> None:
    before = mpl.rcParams["pdf.fonttype"]
    record_page(pump.recut, keys_of(pump))
    assert mpl.rcParams["pdf.fonttype"] == before
