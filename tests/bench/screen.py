"""The page in a real browser: how large it is, how soon it shows, how smoothly it plays."""

import tempfile
from dataclasses import dataclass
from pathlib import Path

from selenium.common.exceptions import WebDriverException
from selenium.webdriver import Chrome, ChromeOptions
from selenium.webdriver.chrome.service import Service

from tests.sample_jobs import job_file
from tests.screen.pages import made_page
from toolpath.screen.page import page

PLAYED = 3.0  # s
PAINTED = "return performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null"
PLAY = """
const done = arguments[1];
document.querySelector('[name=pace][value="10"]').click();
let frames = 0;
const count = () => { frames += 1; requestAnimationFrame(count); };
play();
requestAnimationFrame(count);
setTimeout(() => done(frames / arguments[0]), 1000 * arguments[0]);
"""


@dataclass(frozen=True, slots=True)
class Screen:
    """Bytes of a page for eight pistons; ms to the first view and frames a second, None without a browser."""

    eight: int
    first_view: float | None
    frames: float | None


def screen() -> Screen:
    """Measure the page of a set: eight first cuts, each with a program and a table of its own."""
    pieces = [made_page(job_file("four-valve"), piston=n).piece for n in (1, 2, 3, 4, 5, 6, 1, 2)]
    text = page(pieces)
    with tempfile.TemporaryDirectory() as name:
        place = Path(name) / "page.html"
        place.write_text(text, encoding="utf-8")
        try:
            shown, frames = _seen(place)
        except WebDriverException:
            return Screen(len(text.encode()), None, None)
    return Screen(len(text.encode()), shown, frames)


def _seen(place: Path) -> tuple[float | None, float]:
    options = ChromeOptions()
    options.binary_location = "/usr/bin/chromium"
    for argument in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--window-size=1280,900"):
        options.add_argument(argument)
    chrome = Chrome(options=options, service=Service("/usr/bin/chromedriver"))
    try:
        chrome.get(f"{place.as_uri()}#cut")
        shown = []
        for _ in range(5):
            chrome.refresh()
            chrome.execute_async_script("const done = arguments[0]; setTimeout(done, 200)")
            shown.append(chrome.execute_script(PAINTED))
        return sorted(shown)[2], chrome.execute_async_script(PLAY, PLAYED)
    finally:
        chrome.quit()
