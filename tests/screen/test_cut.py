"""The cut in a real browser: the stock in the picture against the report, play, and edited programs."""

import re
import shutil
from collections.abc import Callable

import pytest

from tests.sample_jobs import DIALECTS, POSTS, SAMPLES, job_file, run
from tests.screen.browser import VIEWS
from tests.screen.pages import MadePage, made_page, sample_page
from tests.test_samples import cuts, deepened

DEEPER = 0.3  # mm
FINE = 4.0  # pixels of the screen to one of the page, so that a pixel of the page can be split
UNDER = (0.06, 0.12)  # mm under the crown, from which wall or chamfer are carried up to it

PAPER = (247, 244, 234)  # of the page in daylight

Pixels = list[list[int]]


def is_paper(pixel: list[int]) -> bool:
    """Whether nothing is drawn there: metal is hatched in ink over a darker ground."""
    return sum(abs(a - b) for a, b in zip(pixel, PAPER, strict=True)) < 12


def metal_at(browser, canvas: str, r: float, z: tuple[float, float]) -> float:
    """z of the metal at r, mm, going up from the lesser of these z, which is in it."""
    (line,) = browser.pixels(canvas, (r, r), z)
    return z[0] + (next(k for k, pixel in enumerate(line) if is_paper(pixel)) - 0.5) / browser.scale(canvas)


def wall_at(browser, canvas: str, z: float, r: tuple[float, float]) -> float:
    """r of the wall at z, mm, going inward from the greater of these r, which is in the metal."""
    column = [line[0] for line in browser.pixels(canvas, r, (z, z))]
    return r[1] - (next(k for k, pixel in enumerate(column[::-1]) if is_paper(pixel)) - 0.5) / browser.scale(
        canvas
    )


def floor_radius(report: dict) -> float:
    """A radius, mm, at which the new dish has its stated depth: a flat floor outside an old bowl, or the axis."""
    section = report["section"]
    if section["form"] != "flat":
        return 0.5
    return section["mouth_diameter_mm"] / 2 - section["corner_radius_mm"] - 1.0


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("post", POSTS)
def test_no_message_and_no_request_in_any_view(sample, post, browser, page_of):
    browser.open(page_of(sample, post))
    for view in VIEWS:
        browser.js("location.hash = arguments[0]", view)
        browser.slide("max")
        browser.slide(1)
    assert browser.messages() == []
    assert browser.requests() == []


@pytest.mark.parametrize("sample", SAMPLES)
def test_the_end_shows_depth_and_mouth_of_the_report(sample, browser, page_of):
    """Within a pixel of the page."""
    browser.sized("tablet", ratio=FINE)
    browser.open(page_of(sample, "iso6983"), "cut")
    browser.slide("max")
    report = sample_page(sample, "iso6983").report
    depth, mouth = report["section"]["depth_mm"], report["section"]["mouth_diameter_mm"] / 2
    pixel = FINE / browser.scale("whole")
    assert -metal_at(browser, "whole", floor_radius(report), (-depth - 1, 1.0)) == pytest.approx(
        depth, abs=pixel
    )
    near, far = (wall_at(browser, "corner", -under, (mouth - 3, mouth + 2)) for under in UNDER)
    assert near + (near - far) == pytest.approx(mouth, abs=pixel)


def test_the_last_row_of_a_table_leaves_the_floor_that_it_says(browser, page_of):
    made = sample_page("tractor-pair")
    browser.open(page_of("tractor-pair", "dro-table"), "cut")
    browser.slide("max")
    depth = -float(made.piece.data["rows"]["rows"][-1]["z"]) * 25.4
    found = -metal_at(browser, "whole", 10.0, (-depth - 1, 0.5))
    assert found == pytest.approx(depth, abs=1 / browser.scale("whole"))


def test_the_stock_grows_less_block_by_block(browser, page_of):
    """Forward and back the same picture; and after the first rapid nothing is gone."""
    browser.sized("tablet", ratio=2)
    browser.open(page_of("pump-engine", "iso6983"), "cut")
    last = int(browser.js("return document.getElementById('block').max"))
    places = [1, last // 3, 2 * last // 3, last]

    def seen(place: int) -> Pixels:
        browser.slide(place)
        (line,) = browser.pixels("whole", (15.0, 15.0), (-4.0, 2.0))
        return line

    there = [seen(place) for place in places]
    assert [seen(place) for place in reversed(places)] == there[::-1]
    pixel = 2 / browser.scale("whole")
    crown, floor = [], []
    for place in places:
        browser.slide(place)
        crown.append(metal_at(browser, "whole", 40.0, (-4.0, 2.0)))
        floor.append(metal_at(browser, "whole", 28.0, (-4.0, 2.0)))
    assert (crown[0], crown[-1]) == pytest.approx((0.5, 0.0), abs=pixel)  # the skim
    assert sorted(floor, reverse=True) == floor
    assert floor[-1] == pytest.approx(-sample_page("pump-engine").report["section"]["depth_mm"], abs=pixel)


@pytest.mark.parametrize("post", POSTS)
def test_the_line_beside_the_picture_is_that_of_the_block(post, browser, page_of):
    data = sample_page("pump-engine", post).piece.data
    browser.open(page_of("pump-engine", post), "cut")
    for k in (1, len(data["blocks"]) // 2, len(data["blocks"])):
        browser.slide(k)
        line = data["blocks"][k - 1][0]
        (shown,) = browser.js(
            "return [...document.querySelectorAll('#cut [data-line]')].map(e => e.dataset.line)"
        )
        assert int(shown) == line
        said = re.sub(r"^\d+", "", browser.text("#cut [data-line]"))
        assert said.replace(" ", "") == data["text"][line - 1].replace(" ", "")


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("post", DIALECTS)
def test_x_and_z_are_the_numbers_of_the_text(sample, post, browser, page_of):
    """At the end of a block the figures are those that its words state."""
    data = sample_page(sample, post).piece.data
    browser.open(page_of(sample, post), "cut")
    told = 0
    for k in range(1, len(data["blocks"]) + 1, 5):
        browser.slide(k)
        words = dict(re.findall(r"([XZ])(-?[\d.]+)", data["text"][data["blocks"][k - 1][0] - 1]))
        for letter, value in words.items():
            shown = browser.text(f"#at-{letter.lower()}").replace("\u2212", "-")
            assert float(shown) == pytest.approx(float(value), abs=1e-9)
            told += 1
    assert told > 10


def test_keys_step_blocks_and_space_plays(browser, page_of):
    browser.open(page_of("pump-engine", "iso6983"), "cut")
    browser.press("ArrowRight", 4)
    browser.press("ArrowLeft")
    assert browser.js("return document.getElementById('block').value") == "4"
    browser.js("document.querySelector('[name=pace][value=\"10\"]').click(); document.activeElement.blur()")
    browser.press(" ")
    assert browser.text("#play") == "Stop"
    browser.chrome.execute_async_script(
        "const done = arguments[0]; const look = () => at > 5 ? done() : setTimeout(look, 20); look()"
    )
    browser.press(" ")
    assert browser.text("#play") == "Play"
    assert browser.js("return playing") is None


def test_one_block_plays_one_block(browser, page_of):
    browser.open(page_of("pump-engine", "iso6983"), "cut")
    browser.slide(20)
    browser.js("document.querySelector('[name=pace][value=\"0\"]').click(); document.activeElement.blur()")
    browser.press(" ")
    browser.chrome.execute_async_script(
        "const done = arguments[0]; const look = () => playing === null ? done() : setTimeout(look, 20); look()"
    )
    assert browser.js("return at") == 21


def test_the_closest_holder_is_one_press_away(browser, page_of):
    made = sample_page("pump-engine", "iso6983")
    browser.open(page_of("pump-engine", "iso6983"), "cut")
    browser.tap("#closest")
    gap = made.report["clearance"]["holder_gap_mm"]
    said = re.search(r"smallest so far, as drawn([\d.]+)\smm, line\s(\d+)", browser.text("#motion"))
    assert said
    assert float(said[1]) == pytest.approx(gap, abs=0.02)
    assert browser.js("return document.querySelector('#cut [data-line]').dataset.line") == said[2]


def test_without_a_holder_no_gap_is_claimed(browser, tmp_path):
    text = job_file("pump-engine").read_text(encoding="utf-8")
    job = tmp_path / "bare.toml"
    job.write_text(re.sub(r"(?m)^\[holder\](.*\n)+?(?=\[cutting\])", "", text), encoding="utf-8")
    place = tmp_path / "bare.html"
    place.write_text(made_page(job).html, encoding="utf-8")
    browser.open(place, "cut")
    assert "not known: no holder stated" in browser.text("#motion")


# ---- edited programs ---------------------------------------------------------------------------


@pytest.fixture
def edited(tmp_path, browser) -> Callable[[str, str], tuple[MadePage, int]]:
    """Opens the page of a sample whose finished floor was edited deeper; gives the page and the line."""

    def opened(sample: str, post: str) -> tuple[MadePage, int]:
        lines = (sample_page(sample, post).text or "").split("\n")
        unit = 25.4 if sample_page(sample, post).piece.data["unit"] == "in" else 1.0
        index = next(n for n in reversed(cuts(lines)) if lines[n].startswith("G01"))
        made = made_page(job_file(sample), post, edit=lambda _: deepened(lines, index, DEEPER / unit))
        place = tmp_path / "edited.html"
        place.write_text(made.html, encoding="utf-8")
        browser.open(place, "cut")
        return made, index + 1

    return opened


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("post", DIALECTS)
def test_a_deeper_block_is_marked_at_its_line_in_words(sample, post, browser, edited):
    made, line = edited(sample, post)
    assert "DO NOT RUN THIS PROGRAM" in browser.text("#alarm")
    browser.tap("#next-fault")
    shown = int(browser.js("return document.querySelector('#cut [data-line]').dataset.line"))
    assert shown in (line, line + 1)  # an arc or a level that starts from the edited end may be the first
    assert browser.js("return document.querySelector('#text .now').matches('.bad')")
    assert f"line {shown} " in browser.text("#fault")
    assert made.piece.data["found"]
    assert browser.js("return document.querySelectorAll('#marks span').length") >= 1
    assert browser.messages() == []


def gouging(sample: str) -> MadePage:
    """The page of a sample with the last block edited that then cuts into the finished part."""
    lines = (sample_page(sample, "iso6983").text or "").split("\n")
    unit = 25.4 if sample_page(sample, "iso6983").piece.data["unit"] == "in" else 1.0
    pages = (
        made_page(job_file(sample), "iso6983", edit=lambda _, n=index: deepened(lines, n, DEEPER / unit))
        for index in reversed(cuts(lines))
    )
    return next(page for page in pages if "gouges" in str(page.piece.data["found"]))


@pytest.mark.parametrize("sample", SAMPLES)
def test_a_deeper_block_is_marked_in_the_picture_and_not_by_colour_alone(sample, browser, page_of, tmp_path):
    """What is gone of the finished part is chequered, ink beside paper, where a good program shows metal."""
    made = gouging(sample)
    depth = made.report["section"]["depth_mm"]
    edited = tmp_path / "edited.html"
    edited.write_text(made.html, encoding="utf-8")
    seen = []
    for place in (page_of(sample, "iso6983"), edited):
        browser.sized("tablet", ratio=FINE)
        browser.open(place, "cut")
        browser.js("Picture.prototype.drawFlags = () => {}")  # they are looked at below
        browser.slide("max")
        rows = browser.pixels("whole", (0.5, made.piece.data["mouth"]), (-depth - 0.5, 0.0))
        seen.append([pixel for row in rows for pixel in row])
    changed = [after for before, after in zip(*seen, strict=True) if before != after and not is_paper(before)]
    assert len(changed) > 50
    assert sum(map(is_paper, changed)) > 0.1 * len(changed)
    assert sum(sum(pixel) < 200 for pixel in changed) > 0.1 * len(changed)


def test_a_fault_has_a_flag_in_the_picture(browser, tmp_path):
    """A mark of exclamation where its block ends, from that block on."""
    made = gouging("pump-engine")
    place = tmp_path / "edited.html"
    place.write_text(made.html, encoding="utf-8")
    browser.open(place, "cut")
    faulty = {found[0] for found in made.piece.data["found"]}
    first = next(k for k, block in enumerate(made.piece.data["blocks"], 1) if block[0] in faulty)
    block = made.piece.data["blocks"][first - 1]
    at = (block[4], block[5] - made.piece.data["radius"])
    over = 12 / browser.scale("whole")  # pixels above the end of the block, where the flag is full

    def inked(k: int) -> int:
        browser.slide(k)
        rows = browser.pixels(
            "whole", (at[0] + over, at[0] + 1.7 * over), (at[1] - over / 2, at[1] + over / 2)
        )
        return sum(sum(pixel) < 150 for row in rows for pixel in row)

    assert inked(first) > 3 * inked(first - 1)


def test_a_good_program_has_no_alarm(browser, page_of):
    browser.open(page_of("pump-engine", "iso6983"), "cut")
    assert browser.text("#alarm") == ""
    assert browser.js("return document.getElementById('next-fault').hidden")
    assert not browser.js("return document.querySelector('#text .bad')")


@pytest.mark.parametrize("deeper", [False, True], ids=["as made", "0.3 mm deeper"])
def test_readback_writes_the_page_of_the_text_that_it_read(deeper, browser, tmp_path):
    """As a user does it: make, edit at the control, read back with --page."""
    job = tmp_path / "pump.toml"
    shutil.copy(job_file("pump-engine"), job)
    assert run("make", job, "--no-pictures").exit_code == 0
    text = (tmp_path / "pump" / "pump.nc").read_text(encoding="ascii")
    edited, page = tmp_path / "edited.nc", tmp_path / "edited.html"
    edited.write_text(text.replace("Z-3.038 F", "Z-3.338 F") if deeper else text, encoding="ascii")
    answer = run("readback", edited, "--job", job, "--page", page)
    assert answer.exit_code == (1 if deeper else 0)
    assert str(page) in answer.output
    browser.open(page, "cut")
    assert "edited.nc" in browser.text("#mark")
    assert ("DO NOT RUN" in browser.text("#alarm")) == deeper
    assert browser.js("return document.querySelectorAll('#marks span').length > 0") == deeper
    assert browser.messages() == []


@pytest.mark.parametrize(
    ("program", "page", "says"),
    [("pump.nc", "x.png", "give .html"), ("pump-dro.csv", "x.html", "plot --out x.html")],
)
def test_what_has_no_such_page_is_told(program, page, says, tmp_path):
    job = tmp_path / "pump.toml"
    shutil.copy(job_file("pump-engine"), job)
    assert run("make", job, "--no-pictures").exit_code == 0
    answer = run("readback", tmp_path / "pump" / program, "--job", job, "--page", tmp_path / page)
    assert answer.exit_code == 2
    assert says in answer.output
    assert not (tmp_path / page).exists()
