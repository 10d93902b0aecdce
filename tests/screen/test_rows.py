"""The rows in a real browser: keys, fingers, and what a reload keeps."""

import csv
import io
from pathlib import Path

import pytest

from tests.sample_jobs import SAMPLES, job_file
from tests.screen.browser import SIZES, VIEWS
from tests.screen.pages import MadePage, made_page, sample_page
from tests.table.test_virtual_hand import SLOPES, sloped
from toolpath.program.by_hand import table_of
from toolpath.screen.page import page

NOW = "#rows [aria-current=step]"
CAPITAL = 15.0  # mm, of digits to be read from two metres
PX_PER_MM = 96 / 25.4  # CSS Values 3, section 6.2
NO_STORE = "Object.defineProperty(window, 'localStorage', { get() { throw new Error('denied'); } })"


def now(browser) -> tuple[int, float, float]:
    """Row, Z and X stop of the row now."""
    data = browser.js("return {...document.querySelector(arguments[0]).dataset}", NOW)
    return int(data["row"]), float(data["z"]), float(data["xStop"])


def wanted(sample: str) -> list[tuple[int, float, float]]:
    rows = sample_page(sample).piece.data["rows"]["rows"]
    return [(k, float(row["z"]), float(row["stop"])) for k, row in enumerate(rows, 1)]


def ticks(browser) -> int:
    return int(
        browser.js(
            "return [...document.querySelectorAll('#row-list td.done')].filter(t => t.textContent).length"
        )
    )


@pytest.fixture
def sheet(browser, tmp_path):
    """Opens the rows of a page of its own, on which nothing is done yet."""

    def opened(html: str, name: str = "page.html", view: str = "rows") -> Path:
        place = tmp_path / name
        place.write_text(html, encoding="utf-8")
        browser.open(place, view)
        browser.js("localStorage.clear()")
        browser.chrome.refresh()
        return place

    return opened


@pytest.mark.parametrize("sample", SAMPLES)
def test_keys_step_through_every_row(sample, browser, sheet):
    sheet(sample_page(sample).html)
    rows = wanted(sample)
    seen = [now(browser)]
    for k in range(len(rows) - 1):
        browser.press(" " if k % 2 else "ArrowRight")
        seen.append(now(browser))
    assert seen == rows
    browser.press("ArrowLeft")
    assert now(browser) == rows[-2]
    browser.press("ArrowRight", 2)
    assert ticks(browser) == len(rows)
    assert "ALL ROWS DONE" in browser.text("#now-done")
    browser.press("ArrowRight")
    assert now(browser) == rows[-1]
    assert browser.messages() == []


def test_a_finger_steps_and_goes_back(browser, sheet):
    sheet(sample_page("pump-engine").html)
    for _ in range(3):
        browser.tap("#row-done")
    assert now(browser)[0] == 4
    browser.press(" ")  # once, though the button has the focus
    assert now(browser)[0] == 5
    browser.tap("#row-back")
    assert now(browser)[0] == 4
    assert ticks(browser) == 3


def test_ticks_survive_a_reload_and_never_land_on_another_table(browser, sheet):
    place = sheet(sample_page("pump-engine").html)
    browser.press("ArrowRight", 3)
    browser.chrome.refresh()
    assert (now(browser)[0], ticks(browser)) == (4, 3)
    changed = made_page(job_file("pump-engine"), edit=lambda text: text.replace("S250", "S240"))
    place.write_text(changed.html, encoding="utf-8")
    browser.chrome.refresh()
    assert (now(browser)[0], ticks(browser)) == (1, 0)


def test_each_piston_of_a_round_has_its_own_ticks(browser, sheet):
    """Their rows are the same to the last digit."""
    pieces = [made_page(job_file("pump-engine"), piston=n).piece for n in (1, 2, 3)]
    assert pieces[0].data["rows"]["rows"] == pieces[1].data["rows"]["rows"]
    sheet(page(pieces))
    browser.press("ArrowRight", 2)
    browser.tap("#pistons button:nth-child(2)")
    assert browser.text("h1").strip() == "Piston 2 of 4 First cut"
    assert now(browser)[0] == 1
    browser.press("ArrowRight")
    browser.chrome.refresh()
    assert browser.text("h1").strip() == "Piston 2 of 4 First cut"
    assert now(browser)[0] == 2
    browser.tap("#pistons button:nth-child(1)")
    assert now(browser)[0] == 3


def test_clearing_the_ticks_is_asked_for_twice(browser, sheet):
    sheet(sample_page("pump-engine").html)
    browser.press("ArrowRight", 3)
    browser.tap("#row-again")
    assert now(browser)[0] == 4
    browser.tap("#row-again")
    assert (now(browser)[0], ticks(browser)) == (1, 0)


def test_it_works_where_the_browser_keeps_nothing(browser, page_of):
    script = browser.chrome.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": NO_STORE})
    try:
        browser.open(page_of("pump-engine", "iso6983"), "rows")
        browser.press("ArrowRight", 2)
        assert now(browser)[0] == 3
        assert "keeps nothing" in browser.text("#kept")
        assert browser.messages() == []
    finally:
        browser.chrome.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", script)


@pytest.fixture(scope="module")
def slope(tmp_path_factory) -> MadePage:
    """A dish with a straight wall, turned by hand with the top slide."""
    job = tmp_path_factory.mktemp("slope") / "slope.toml"
    job.write_text(sloped(SLOPES["a wall 30 degrees off"], inch=False, point="face-outer"), encoding="utf-8")
    return made_page(job)


def test_rows_of_the_top_slide_show_where_they_end_and_at_what_angle(slope, browser, sheet):
    rows = list(csv.DictReader(io.StringIO(table_of(slope.recut).csv)))
    turned = [k for k, row in enumerate(rows) if row["z_to"]]
    assert turned
    sheet(slope.html)
    heads = [head.split(",")[0] for head in browser.js(CELLS, "#row-heads th")]
    assert heads[6:9] == ["Z end", "angle", "travel"]
    for k, row in enumerate(rows):
        cells = browser.js(CELLS, f"#row-list tr:nth-child({k + 1}) td")
        assert [cell.replace("\u2212", "-") for cell in cells[6:9]] == [
            row["z_to"],
            row["angle"],
            row["travel"],
        ]
    browser.press("ArrowRight", turned[0])
    row = rows[turned[0]]
    assert browser.text("#now-slide").replace("\u2212", "-") == (
        f"top slide at {row['angle']}\u00b0, travels {row['travel']} mm, ends at Z {row['z_to']} mm"
    )
    assert ticks(browser) == turned[0]


def test_where_all_is_solid_the_first_place_is_that_of_the_bites(browser, sheet):
    """Winding in at X start would plunge at the centre: the row's large figures never send the hand there."""
    sheet(sample_page("blank-bowl").html)
    by_hand = table_of(sample_page("blank-bowl").recut)
    for row, cut in zip(by_hand.table.rows, by_hand.plan.cuts, strict=True):
        first = row.x_start if cut.bites_from is None else by_hand.readout.shown(cut.bites_from)
        assert float(browser.text("#now-start")) == first
        assert browser.text("#now-first") == ("1 X start" if cut.bites_from is None else "1 X bites")
        words = browser.text("#now-bites")
        assert words.startswith(f"Wind in only at X {first:.2f} mm radius, 0.10 mm at most") == (
            cut.bites_from is not None
        )
        browser.press("ArrowRight")


def test_level_rows_have_no_columns_of_a_top_slide(browser, sheet):
    sheet(sample_page("pump-engine").html)
    assert [head.split(",")[0] for head in browser.js(CELLS, "#row-heads th")][5:] == [
        "infeed",
        "done",
        "how",
    ]
    assert browser.text("#now-slide") == ""


CELLS = "return [...document.querySelectorAll(arguments[0])].map((e) => e.textContent)"
CAPITALS = """
    const ctx = document.createElement('canvas').getContext('2d');
    return [...document.querySelectorAll('.figure')].filter((e) => e.getClientRects().length).map((e) => {
      const style = getComputedStyle(e);
      ctx.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
      return ctx.measureText('0').actualBoundingBoxAscent;
    })
"""


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("sample", SAMPLES)
def test_figures_can_be_read_from_two_metres(sample, size, view, browser, sheet):
    browser.sized(size)
    sheet(sample_page(sample).html, view=view)
    heights = browser.js(CAPITALS)
    if view == "cut":
        for block in range(1, len(sample_page(sample).piece.data["blocks"]) + 1, 5):
            browser.slide(block)
            heights += browser.js(CAPITALS)
    assert len(heights) >= 2
    assert min(heights) >= CAPITAL * PX_PER_MM - 1
