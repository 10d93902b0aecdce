"""How the page looks and answers: names and contrast, fingers, narrow and wide, dark, paper, hostile text."""

import io
import shutil
import subprocess
import tarfile
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.sample_jobs import SAMPLES, job_file
from tests.screen.browser import SIZES, VIEWS, not_run
from tests.screen.pages import made_page, sample_page
from tests.screen.test_page import HOSTILE
from toolpath.screen.page import page

AXE = "axe-core@4.14.1"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
LEAST = 44  # px of a target for fingers; WCAG 2.2, success criterion 2.5.5


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The text of axe-core, from npm."""
    place = tmp_path_factory.mktemp("axe")
    npm = shutil.which("npm")
    if npm is None:
        not_run("npm is not there")
    assert npm is not None
    done = subprocess.run(
        [npm, "pack", "--silent", AXE], cwd=place, capture_output=True, text=True, timeout=120, check=False
    )
    if done.returncode != 0:
        not_run(f"{AXE} cannot be had: {done.stderr.strip()[-200:]}")
    (packed,) = place.glob("*.tgz")
    with tarfile.open(packed) as archive:
        member = archive.extractfile("package/axe.min.js")
        assert member is not None
        return member.read().decode("utf-8")


@pytest.fixture(scope="session")
def round_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page for three pistons."""
    place = tmp_path_factory.mktemp("round") / "round.html"
    pieces = [made_page(job_file("pump-engine"), piston=n).piece for n in (1, 2, 3)]
    place.write_text(page(pieces), encoding="utf-8")
    return place


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("size", ["phone", "wide"])
def test_names_roles_and_contrast(size, dark, view, axe, browser, round_page):
    browser.sized(size, dark=dark)
    browser.open(round_page, view)
    browser.chrome.execute_cdp_cmd("Runtime.evaluate", {"expression": axe})
    found, passed = browser.chrome.execute_async_script(
        "const done = arguments[1];"
        "axe.run(document, {runOnly: arguments[0]}).then((r) => done([r.violations, r.passes.map((one) => one.id)]))",
        RULES,
    )
    assert {"color-contrast", "button-name" if view != "setup" else "link-name"} <= set(passed)
    assert [(one["id"], [node["html"][:120] for node in one["nodes"]]) for one in found] == []


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("size", SIZES)
def test_every_target_is_large_enough_for_a_dirty_finger(size, view, browser, round_page):
    browser.sized(size)
    browser.open(round_page, view)
    small = browser.js(
        """
        return [...document.querySelectorAll('a, button, input:not([type=radio]), label:has(input), summary, select')]
          .filter((e) => e.getClientRects().length)
          .map((e) => [e.id || e.textContent, e.getBoundingClientRect()])
          .filter(([, box]) => Math.min(box.width, box.height) < arguments[0]).map(([name]) => name)
        """,
        LEAST,
    )
    assert small == []


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("sample", SAMPLES)
def test_nothing_runs_out_at_the_side_or_over_another(sample, size, view, browser, page_of):
    browser.sized(size)
    browser.open(page_of(sample, sample_page(sample).recut.job.machine.post), view)
    assert browser.js("return document.documentElement.scrollWidth <= innerWidth")
    cut_off = browser.js(
        """
        return [...document.querySelectorAll('.figure, .unit, .axis, button, nav a, fieldset span, h1 span')]
          .filter((e) => e.getClientRects().length && e.scrollWidth > e.clientWidth + 1 && e.clientWidth)
          .map((e) => e.id || e.textContent)
        """
    )
    assert cut_off == []
    for kind in (".plate > *", ".facts > *", ".bar > *", "nav > *"):
        assert browser.js(OVERLAPS, kind) == []


OVERLAPS = """
    const boxes = [...document.querySelectorAll(arguments[0])].filter((e) => e.getClientRects().length)
      .map((e) => [e, e.getBoundingClientRect()]);
    return boxes.flatMap(([a, p], k) => boxes.slice(k + 1)
      .filter(([b, q]) => a.parentNode === b.parentNode && p.left < q.right - 1 && q.left < p.right - 1
        && p.top < q.bottom - 1 && q.top < p.bottom - 1)
      .map(([b]) => `${a.textContent} / ${b.textContent}`));
"""


@pytest.mark.parametrize("view", VIEWS)
def test_piston_stage_and_mark_stay_in_sight(view, browser, tmp_path):
    made = made_page(job_file("pump-engine"), piston=3)
    place = tmp_path / "marked.html"
    place.write_text(made.html, encoding="utf-8")
    browser.open(place, view)
    browser.js("scrollTo(0, document.documentElement.scrollHeight)")
    for selector, words in (("h1", "Piston 3 of 4 First cut"), ("#mark", f"mark {made.recut.facts.mark}")):
        assert words in browser.text(selector)
        top, bottom = browser.js(
            "const b = document.querySelector(arguments[0]).getBoundingClientRect(); return [b.top, b.bottom]",
            selector,
        )
        assert 0 <= top < bottom <= 300


@pytest.mark.parametrize("size", SIZES)
def test_the_largest_letters_say_piston_and_stage(size, browser, round_page):
    browser.sized(size)
    browser.open(round_page)
    sizes = browser.js(
        """
        const size = (e) => parseFloat(getComputedStyle(e).fontSize);
        const all = [...document.body.querySelectorAll('*')].filter((e) => e.getClientRects().length);
        return [size(document.getElementById('who')), Math.max(...all.map(size))]
        """
    )
    assert sizes[0] == sizes[1]
    assert browser.text("#who") == "Piston 1 of 4 First cut"


def test_hostile_titles_stay_text(browser, tmp_path):
    place = tmp_path / "hostile.html"
    place.write_text(made_page(job_file("pump-engine"), title=HOSTILE).html, encoding="utf-8")
    browser.open(place)
    assert HOSTILE in browser.text("#mark")
    assert browser.js("return [window.hit, document.images.length, document.scripts.length]") == [None, 0, 2]
    assert browser.chrome.title.startswith(HOSTILE[:40])
    assert browser.messages() == []
    assert browser.requests() == []


def test_the_policy_lets_nothing_else_run_or_load(browser, page_of):
    browser.open(page_of("pump-engine", "iso6983"))
    browser.js(
        """
        const script = document.createElement('script');
        script.textContent = 'window.hit = 1';
        document.body.append(script);
        const picture = new Image();
        picture.src = 'https://example.invalid/x.png';
        document.body.append(picture);
        """
    )
    assert browser.js("return window.hit ?? null") is None
    assert len([message for message in browser.messages() if "Content Security Policy" in message]) == 2


@pytest.mark.parametrize("sample", SAMPLES)
def test_it_prints_a_card(sample, browser, page_of):
    """On white, whatever the screen: whose piston, what to set, every row, what to type."""
    made = sample_page(sample)
    browser.sized("tablet", dark=True)
    browser.open(page_of(sample, made.recut.job.machine.post), "cut")
    reader = PdfReader(io.BytesIO(browser.printed()))
    assert len(reader.pages) <= 3
    text = "\n".join(sheet.extract_text() for sheet in reader.pages)
    data = made.piece.data
    assert data["which"].upper() in text.upper()
    assert data["touch"]["z"] in text
    for row in data["rows"]["rows"]:
        assert row["stop"] in text
    assert data["reading"]["type"] in " ".join(text.split())
    assert len(reader.pages[-1].images) + len(reader.pages[-2].images) >= 2  # the pictures
    assert browser.js("return document.body.className") == ""
