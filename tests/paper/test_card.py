"""The card of one cut: order and sizes, figures of the report, stored readings, one page for a program."""

import io
import re
from dataclasses import replace

import pytest
from pypdf import PdfReader

from tests.paper.conftest import Drawn, drawn, sample, with_report
from toolpath.paper.canvas import Page
from toolpath.paper.pages import cards_pdf, sheet_pdf
from toolpath.paper.style import Paper
from toolpath.readings.log import Reading
from toolpath.recut import Stage, resolve
from toolpath.reference import folder, table

SAMPLES = ("pump-engine", "blank-bowl", "four-valve", "tractor-pair")


def staged(name: str, stage: Stage, *readings: Reading, zero: str | None = None) -> Drawn:
    """A stage of the first piston of a sample."""
    job = sample(name).recut.job.for_piston(1)
    if zero is not None:
        job = job.model_copy(update={"setup": job.setup.model_copy(update={"zero": zero})})
    found = resolve(job, stage=stage, piston=1, readings=readings)
    return with_report(found)  # type: ignore[arg-type]


def after_first(name: str, *, zero: str | None = None) -> Drawn:
    """The last cut of the first piston, which read 0.04 cc less than expected."""
    first = staged(name, "first").recut.next_cut
    assert first is not None
    read = Reading(1, "first", "burette", first.expected.volume - 40.0)
    received = Reading(1, "as-received", "burette", sample(name).recut.design.as_received_seen)
    return staged(name, "last", received, read, zero=zero)


def by_hand(name: str) -> Drawn:
    """A sample's first cut on a lathe without a control."""
    text = (folder("samples") / f"{name}.toml").read_text(encoding="utf-8")
    found = drawn(re.sub(r'post = "\w+"', 'post = "dro-table"', text))
    assert found is not None
    recut = resolve(found.recut.job.for_piston(1), stage="first", piston=1)
    return with_report(recut)  # type: ignore[arg-type]


def said(page: Page) -> str:
    return " ".join(text.get_text() for text in page.axes.texts)


def size_of(page: Page, start: str) -> float:
    """Points of the first text that starts so."""
    return next(t.get_fontsize() for t in page.axes.texts if t.get_text().startswith(start))


def pages_of(pdf: bytes) -> list[str]:
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", SAMPLES)
def test_one_page_for_a_program_and_its_back_for_rows(name: str, paper: Paper) -> None:
    for found in (staged(name, "first"), after_first(name)):
        assert len(found.card(paper)) == (2 if found.cut.hand else 1)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_twenty_five_rows_have_one_back(paper: Paper) -> None:
    found = by_hand("blank-bowl")
    assert len(found.by_hand.table.rows) >= 24
    front, back = found.card(paper)
    assert "go on overleaf" in said(front)
    both = said(front) + said(back)
    for row in found.by_hand.table.rows:
        assert f"{row.x_stop:.2f}" in both
    assert "blend down to the dashed line" in said(back)


@pytest.mark.parametrize("name", SAMPLES)
def test_the_order_of_the_card(name: str) -> None:
    found = after_first(name)
    text = said(found.card()[0])
    order = [
        found.recut.cut_words,
        found.recut.job.title,
        found.recut.mark,
        "date",
        " Z ",
        " X ",
        "expected",
        "this cut, cc",
        table("cautions")["card"]["lines"][0],
        "set up by",
    ]
    spots = [text.index(words) for words in order]
    assert spots == sorted(spots)


def test_sizes_for_an_arms_length() -> None:
    """24 points for piston and cut, 16 for figures to set, 11 for the rest of the words."""
    page = staged("pump-engine", "first").card()[0]
    assert size_of(page, "PISTON 1 OF 4 - FIRST CUT") == pytest.approx(24)
    assert size_of(page, "set Z 0.500 mm") == pytest.approx(16)
    assert size_of(page, "set X 90.400 mm") == pytest.approx(16)
    for words in ("expected", "Mark the piston inside the skirt", "Programmed point", "skim"):
        assert size_of(page, words) == pytest.approx(11)
    assert max(t.get_fontsize() for t in page.axes.texts) == pytest.approx(24)


def test_the_last_cut_is_white_on_black() -> None:
    for found, colour in (
        (staged("pump-engine", "first"), "#000000"),
        (after_first("pump-engine"), "#ffffff"),
    ):
        page = found.card()[0]
        (banner,) = [t for t in page.axes.texts if t.get_text().startswith("PISTON")]
        assert banner.get_color() == colour


@pytest.mark.parametrize("name", SAMPLES)
def test_figures_are_the_reports(name: str) -> None:
    found = staged(name, "first")
    text = said(found.card()[0])
    report = found.report
    assert report.expected is not None
    inch = found.recut.job.machine.program_units == "inch"
    z = found.recut.touch_off.z_to_set
    assert f"set Z {z / 25.4:.4f} in" if inch else f"set Z {z:.3f} mm" in text
    assert f"± {2 * report.expected.u_cc:.3f} cc" in text
    assert f"target {report.volume.target_cc:.3f}" in text
    assert report.mark in text.split()
    if not found.cut.hand:
        assert f"expected {report.expected.volume_cc:.3f} cc" in text
        depth = report.section.depth_mm
        assert f"depth {depth / 25.4:.4f} in" if inch else f"depth {depth:.3f} mm" in text
        assert f"{report.plan.passes_rough} x " in text


def test_a_stored_reading_stands_in_its_box() -> None:
    before, after = said(staged("pump-engine", "first").card()[0]), after_first("pump-engine")
    read = after.recut.readings
    text = said(after.card()[0])
    for reading in read:
        assert isinstance(reading, Reading)
        assert f"{reading.shown:.2f}" in text.split()
        assert f"{reading.shown:.2f}" not in before.split()


def test_a_noted_zero_has_a_box_and_stands_in_it() -> None:
    assert "face Z noted" not in said(staged("pump-engine", "first", zero="fresh").card()[0])
    first = staged("pump-engine", "first", zero="noted")
    assert "face Z noted, mm" in said(first.card()[0])
    job = first.recut.job
    assert first.recut.next_cut is not None
    read = Reading(1, "first", "burette", first.recut.next_cut.expected.volume)
    zero = Reading(1, "first", "zero", 41.37)
    last = resolve(job, stage="last", piston=1, readings=[zero, read])
    text = said(with_report(last).card()[0])  # type: ignore[arg-type]
    assert "41.370" in text.split()
    assert "touch the fixture's face again" in text
    assert "FINISHED crown must agree within 0.040 mm" in text
    assert "check Z 0.000 mm" in text


@pytest.mark.parametrize(("zero", "verb"), [("kept", "check"), ("fresh", "set")])
def test_a_zero_that_stays_is_only_checked(zero: str, verb: str) -> None:
    text = said(after_first("pump-engine", zero=zero).card()[0])
    assert f"{verb} Z 0.000 mm" in text
    assert f"Zero {zero}" in text


def test_warnings_are_on_the_card_and_many_of_them_overleaf() -> None:
    found = staged("four-valve", "first")
    assert found.cut.warnings
    for line in found.cut.warnings:
        assert line in said(found.card()[0])
    warning = next(f for f in found.recut.findings if f.severity == "warning")
    many = replace(found.recut, findings=(warning,) * 4)
    front, back = with_report(many).card()
    assert "4 WARNINGS OVERLEAF: READ THEM FIRST" in said(front)
    assert said(back).count(warning.what[:40]) == 4


def test_the_table_of_a_program_goes_overleaf_when_asked() -> None:
    found = staged("pump-engine", "first")
    assert len(found.card()) == 1
    assert "infeed" in said(found.card(rows=True)[1])


def test_cards_of_a_round_are_one_file_a_page_a_piston() -> None:
    cuts = []
    for piston in (1, 2, 3):
        recut = resolve(sample("pump-engine").recut.job.for_piston(piston), stage="first", piston=piston)
        cuts.append(with_report(recut).cut)  # type: ignore[arg-type]
    pdf = cards_pdf(cuts, "a4", rows=False)
    assert pdf == cards_pdf(cuts, "a4", rows=False)
    pages = pages_of(pdf)
    assert len(pages) == 3
    for piston, page in enumerate(pages, 1):
        assert page.startswith(f"PISTON {piston} OF 4 - FIRST CUT")
    assert b"CreationDate" not in pdf


def test_a_card_of_no_piston_says_for_how_many() -> None:
    (page,) = pages_of(sheet_pdf(sample("pump-engine").cut, "card", "a4", rows=False))
    assert page.startswith("EACH OF 4 PISTONS - ONE CUT WITHOUT A READING")
