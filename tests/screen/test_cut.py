"""The cut in a real browser: the stock in the picture against the report, play, and edited programs."""

import re
from collections.abc import Callable

import pytest

from tests.sample_jobs import DIALECTS, POSTS, SAMPLES, job_file
from tests.screen.browser import VIEWS
from tests.screen.pages import MadePage, made_page, sample_page
from tests.test_samples import cuts, deepened

DEEPER = 0.3  # mm
LIP = {"blank-bowl": 0.3}  # mm that a chamfer widens the mouth; stated in the samples
FINE = 4.0  # pixels of the screen to one of the page, so that a pixel of the page can be split
UNDER = (0.1, 0.2)  # mm under the crown, from which the wall is carried up to it

Pixels = list[list[int]]


def air_from(line: Pixels) -> int:
    """How many pixels from the end of a line the first of another colour stands: metal, seen from the air."""
    air = line[-1]
    return next(
        k for k, seen in enumerate(reversed(line)) if sum(abs(a - b) for a, b in zip(seen, air, strict=True)) > 200
    )


def metal_at(browser, canvas: str, r: float, z: tuple[float, float]) -> float:
    """z of the metal at r, mm, coming down from the upper of these z."""
    (line,) = browser.pixels(canvas, (r, r), z)
    return z[1] - (air_from(line) - 0.5) / browser.scale(canvas)


def wall_at(browser, canvas: str, z: float, r: tuple[float, float]) -> float:
    """r of the wall at z, mm, going outward from the lesser of these r."""
    column = [line[0] for line in browser.pixels(canvas, r, (z, z))]
    return r[0] + (air_from(column[::-1]) - 0.5) / browser.scale(canvas)


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
@pytest.mark.parametrize("post", DIALECTS)
def test_the_end_shows_depth_and_mouth_of_the_report(sample, post, browser, page_of):
    """Within a pixel of the page."""
    browser.sized("tablet", ratio=FINE)
    browser.open(page_of(sample, post), "cut")
    browser.slide("max")
    report = sample_page(sample, post).report
    depth, mouth = report["section"]["depth_mm"], report["section"]["mouth_diameter_mm"] / 2
    pixel = FINE / browser.scale("whole")
    assert -metal_at(browser, "whole", floor_radius(report), (-depth - 1, 1.0)) == pytest.approx(depth, abs=pixel)
    near, far = (wall_at(browser, "whole", -under, (mouth - 3, mouth + 2)) for under in UNDER)
    assert near + (near - far) == pytest.approx(mouth + LIP.get(sample, 0.0), abs=pixel)


def test_the_last_row_of_a_table_leaves_the_floor_that_it_says(browser, page_of):
    made = sample_page("tractor-pair")
    browser.open(page_of("tractor-pair", "dro-table"), "cut")
    browser.slide("max")
    depth = -float(made.piece.data["rows"]["rows"][-1][1]) * 25.4
    found = -metal_at(browser, "whole", 10.0, (-depth - 1, 0.5))
    assert found == pytest.approx(depth, abs=1 / browser.scale("whole"))


def test_the_stock_grows_less_block_by_block(browser, page_of):
    """Forward and back the same picture; and after the first rapid nothing is gone."""
    browser.open(page_of("pump-engine", "iso6983"), "cut")
    last = int(browser.js("return document.getElementById('block').max"))
    places = [1, last // 3, 2 * last // 3, last]

    def seen(place: int) -> Pixels:
        browser.slide(place)
        (line,) = browser.pixels("whole", (15.0, 15.0), (-4.0, 2.0))
        return line

    there = [seen(place) for place in places]
    assert [seen(place) for place in reversed(places)] == there[::-1]
    depths = []
    for place in places:
        browser.slide(place)
        depths.append(metal_at(browser, "whole", 30.0, (-4.0, 2.0)))
    assert depths[0] == pytest.approx(0.5, abs=0.2)  # the skim still stands
    assert sorted(depths, reverse=True) == depths
    assert depths[-1] < depths[0] - 2


@pytest.mark.parametrize("post", POSTS)
def test_the_line_beside_the_picture_is_that_of_the_block(post, browser, page_of):
    data = sample_page("pump-engine", post).piece.data
    browser.open(page_of("pump-engine", post), "cut")
    for k in (1, len(data["blocks"]) // 2, len(data["blocks"])):
        browser.slide(k)
        line = data["blocks"][k - 1][0]
        (shown,) = browser.js("return [...document.querySelectorAll('#cut [data-line]')].map(e => e.dataset.line)")
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
    browser.js("document.querySelector('[name=pace][value=\"60\"]').click(); document.activeElement.blur()")
    browser.press(" ")
    assert browser.text("#play") == "Stop"
    at = browser.chrome.execute_async_script("const done = arguments[0]; setTimeout(() => done(at), 700)")
    assert at > 4
    browser.press(" ")
    assert browser.text("#play") == "Play"


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
    said = re.search(r"smallest so far([\d.]+) mm, line (\d+)", browser.text("#motion"))
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
        browser.sized("tablet", ratio=FINE)
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


@pytest.mark.parametrize("sample", SAMPLES)
def test_a_deeper_block_is_marked_in_the_picture_and_not_by_colour_alone(sample, browser, edited):
    """What is gone of the finished part is chequered, dark beside light, where a good program shows metal."""
    made, _ = edited(sample, "iso6983")
    browser.slide("max")
    data = made.piece.data
    line = {place for place, *_ in data["found"]}
    block = next(b for b in data["blocks"] if b[0] in line)
    r, z = block[4], block[5] - data["radius"]  # the insert's foremost point at the end of the block
    inside = (max(0.5, r - 3.0), max(0.5, r - 3.0) + 1.0)
    zone = browser.pixels("whole", inside, (z + 0.08, z + DEEPER - 0.08))
    shades = [sum(pixel) / 3 for row in zone for pixel in row]
    dark, light = sum(s < 80 for s in shades) / len(shades), sum(s > 180 for s in shades) / len(shades)
    assert dark > 0.25
    assert light > 0.25


def test_a_good_program_has_no_alarm(browser, page_of):
    browser.open(page_of("pump-engine", "iso6983"), "cut")
    assert browser.text("#alarm") == ""
    assert browser.js("return document.getElementById('next-fault').hidden")
    assert not browser.js("return document.querySelector('#text .bad')")
