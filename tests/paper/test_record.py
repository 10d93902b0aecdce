"""The customer's record: what a PDF reader finds in it, its pages, and the same bytes every time."""

import io
import re
from dataclasses import replace
from typing import Any

import matplotlib as mpl
import pytest
from pypdf import PdfReader

from tests.paper.conftest import Drawn, sample
from toolpath.matching.finished import Finished, finished
from toolpath.matching.summary import set_summary
from toolpath.output.set import set_keys
from toolpath.paper import record, style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box
from toolpath.paper.record import record_page
from toolpath.readings.log import Log, MadeCut, Reading, Target
from toolpath.reference import table

POINT = 72 / 25.4  # points in a mm


def keys_of(drawn: Drawn, *readings: Reading) -> dict[str, Any]:
    job = drawn.recut.job
    return set_keys(set_summary(job, Log(readings)), drawn.recut.design.target)


def page_of(drawn: Drawn, *readings: Reading, paper: style.Paper = "a4") -> bytes:
    """The record of a log."""
    cuts = finished(drawn.recut.job, Log(readings))
    return record_page(drawn.recut, keys_of(drawn, *readings), cuts, paper=paper)


def three(piston: int, received: float, first: float, last: float) -> tuple[Reading, ...]:
    return (
        Reading(piston, "as-received", "burette", received, when="2026-11-20T09:00:00+01:00"),
        Reading(piston, "first", "burette", first, cut_depth=3.0, when="2026-11-21T09:00:00+01:00"),
        Reading(piston, "last", "burette", last, cut_depth=3.1, when="2026-11-26T15:00:00+01:00"),
    )


def large(drawn: Drawn, count: int, paper: style.Paper = "a4") -> bytes:
    """The record of a set of that many pistons, all alike."""
    keys = keys_of(drawn, *three(1, 9250.0, 11450.0, 11610.0))
    one = keys["pistons"][0]
    keys["pistons"] = [{**one, "piston": n} for n in range(1, count + 1)]
    cuts = [Finished(n, 0.5, 3.1, 7.4, ("2026-11-20",)) for n in range(1, count + 1)]
    return record_page(drawn.recut, keys, cuts, paper=paper)


def text_of(pdf: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages))


def test_before_and_after_of_every_piston(pump: Drawn) -> None:
    readings = (*three(1, 9250.0, 11450.0, 11610.0), *three(2, 9310.0, 11420.0, 11560.0))
    one, two = keys_of(pump, *readings)["pistons"][:2]
    text = text_of(page_of(pump, *readings))
    assert f"1 9.25 11.61 0.01 3.100 {one['compression']:.2f} {one['removed_g']:.1f} within" in text
    assert f"2 9.31 11.56 -0.04 3.100 {two['compression']:.2f} {two['removed_g']:.1f} within" in text
    assert "3 - - - - - - not yet" in text
    assert "2 of 4 pistons" in text
    assert "0.05 cc between the largest and the smallest" in text
    assert "from 2026-11-20 to 2026-11-26" in text


def test_depth_floor_and_skim_are_those_of_the_cut_that_was_made(pump: Drawn) -> None:
    """The job may say something else by now: the facts in the log stand."""
    facts = pump.recut.facts._replace(skim=0.4, shape=pump.recut.facts.shape._replace(depth=2.9))
    readings = three(1, 9250.0, 11450.0, 11610.0)
    log = Log((*readings[:2], MadeCut(1, facts, "ABC123", "job-p1-last.nc", "0" * 64), readings[2]))
    one = finished(pump.recut.job, log)[0]
    assert (one.skim, one.depth) == (0.4, pytest.approx(2.9))
    # the old bowl stays below the new floor, 64 mm wide and by its 9.3 cc deep; the floor was skimmed with it
    stated = pump.recut.clearance.crown.floor_thickness
    assert stated is not None
    assert one.floor == pytest.approx(stated, abs=1e-6)
    text = text_of(
        record_page(
            pump.recut, set_keys(set_summary(pump.recut.job, log), 0.0), finished(pump.recut.job, log)
        )
    )
    assert f"2.900 {one.floor:.3f}" in text
    assert "0.400 mm skimmed off" in text


def test_customer_and_engine(pump: Drawn) -> None:
    job = pump.recut.job
    named = job.model_copy(
        update={"record": job.record.model_copy(update={"customer": "order 17", "engine": "Trial 2.0"})}
    )
    text = text_of(record_page(replace(pump.recut, job=named), keys_of(pump), finished(job, Log())))
    assert "customer order 17 engine Trial 2.0" in text
    assert "customer" not in text_of(page_of(pump)).split("pistons")[0]


def test_masses_weighed_stand_in_place_of_metal_worked_out(pump: Drawn) -> None:
    weighed = Reading(1, "last", "mass", 412.3)
    text = text_of(page_of(pump, *three(1, 9250.0, 11450.0, 11610.0), weighed))
    assert "412.3 within" in text
    assert "3.100" in text  # a mass that is read last hides no depth
    assert "removed" not in text


def test_each_piston_its_own_target() -> None:
    drawn = sample("four-valve")
    text = text_of(page_of(drawn))
    assert "each piston its own, tolerance" in text
    cut = text_of(page_of(drawn, *three(1, 6700.0, 7900.0, 8050.0), *three(2, 6700.0, 8100.0, 8240.0)))
    assert re.search(r"0\.\d\d in ratio between the largest and the smallest", cut)
    for piston in keys_of(drawn)["pistons"]:
        assert (
            f"{piston['piston']} - {piston['target_cc']:.2f}" in text
            or f"{piston['piston']} {piston['target_cc']:.2f}" in text
        )


def test_target_method_and_burette(pump: Drawn) -> None:
    text = text_of(page_of(pump))
    assert "11.600 cc, tolerance ± 0.1 cc" in text
    assert "a plate laid across the finished crown" in text
    assert "lines 0.05 cc apart, ISO 385:2005 class A: ± 0.03 cc" in text
    # JCGM 100, 4.3.7: rectangles of half-width 0.03 and 0.025 cc; 2 * sqrt((0.03^2 + 0.025^2) / 3)
    assert "± 0.045 cc for one reading (k = 2: 19 of 20 lie within)" in text


def test_lines_to_sign_and_cautions(pump: Drawn) -> None:
    text = text_of(page_of(pump))
    assert text.count("date") == 2
    assert "measured by" in text
    lines = [line for line in table("cautions")["sheet"]["lines"] if line in text]
    assert len(lines) == 2
    assert any("engine builder" in line for line in lines)


@pytest.mark.parametrize(
    ("final", "word"), [(11700.0, "within"), (11701.0, "over"), (11500.0, "within"), (11499.0, "short")]
)
def test_a_reading_on_the_limit_is_within(pump: Drawn, final: float, word: str) -> None:
    text = text_of(page_of(pump, *three(1, 9300.0, 11450.0, final)))
    found = re.search(r"1 9\.30 \S+ \S+ \S+ \S+ \S+ (\w+)", text)
    assert found is not None
    assert found[1] == word


def test_a_common_target_stands_there_only_once_it_is_taken(pump: Drawn) -> None:
    readings = (*three(1, 9300.0, 11450.0, 11800.0), *three(2, 9300.0, 11450.0, 11600.0))
    assert "11.80 cc" not in text_of(page_of(pump, *readings)).replace("11.80 0.20", "")
    log = Log((*readings, *(Target(n, 11800.0, "cc") for n in range(1, 5))))
    keys = set_keys(set_summary(pump.recut.job, log), pump.recut.design.target)
    assert "11.800 cc, tolerance" in text_of(record_page(pump.recut, keys, finished(pump.recut.job, log)))


def test_job_without_burette_or_engine() -> None:
    drawn = sample("blank-bowl")
    job = drawn.recut.job.model_copy(update={"burette": None})
    recut = replace(drawn.recut, job=job)
    assert "method and burette not stated" in text_of(
        record_page(recut, keys_of(drawn), finished(drawn.recut.job, Log()))
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_paper(pump: Drawn, paper: style.Paper) -> None:
    page = PdfReader(io.BytesIO(page_of(pump, paper=paper))).pages[0]
    wide, tall = style.SIZES[paper]
    assert float(page.mediabox.width) == pytest.approx(wide * POINT, abs=0.5)
    assert float(page.mediabox.height) == pytest.approx(tall * POINT, abs=0.5)


def test_same_set_same_bytes_without_date_or_tool(pump: Drawn) -> None:
    first = page_of(pump, *three(1, 9250.0, 11450.0, 11610.0))
    assert first == page_of(pump, *three(1, 9250.0, 11450.0, 11610.0))
    for word in (b"CreationDate", b"Producer", b"atplotlib"):
        assert word not in first
    assert b"/Type3" not in first.replace(b" ", b"")


@pytest.mark.parametrize("count", [1, 24, 25, 26, 27, 28, 29, 60, 1000])
def test_every_piston_once_however_large_the_set(pump: Drawn, count: int) -> None:
    reader = PdfReader(io.BytesIO(large(pump, count)))
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
    large(pump, count, paper)
    for sheet in sheets:
        assert min(text.get_fontsize() for text in sheet.axes.texts) >= 9 - 1e-9
        boxes: list[Box] = sheet.taken.boxes
        assert all(box.within(sheet.inside) for box in boxes)
        assert not [(a, b) for k, a in enumerate(boxes) for b in boxes[:k] if a.touches(b)]


def test_settings_of_the_page_do_not_leak(pump: Drawn) -> None:
    before = mpl.rcParams["pdf.fonttype"]
    page_of(pump)
    assert mpl.rcParams["pdf.fonttype"] == before
