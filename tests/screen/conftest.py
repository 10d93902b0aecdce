"""Pages of the samples, and the browser that opens them."""

from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest

from tests.screen.browser import Browser, started
from tests.screen.pages import sample_page


@pytest.fixture(scope="session")
def chrome() -> Iterator[Browser]:
    """One browser for all tests."""
    driver = started()
    yield Browser(driver)
    driver.quit()


@pytest.fixture
def browser(chrome: Browser) -> Browser:
    """The browser on a tablet in daylight, with nothing kept."""
    chrome.sized("tablet")
    return chrome


@pytest.fixture(scope="session")
def page_of(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, str], Path]:
    """`page_of(sample, post)`: the page of that sample, made once."""

    @cache
    def once(sample: str, post: str) -> Path:
        place = tmp_path_factory.mktemp("pages") / f"{sample}-{post}.html"
        place.write_text(sample_page(sample, post).html, encoding="utf-8")
        return place

    return once
