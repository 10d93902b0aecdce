"""A real browser for the tests of the page: opened pages, their messages and requests, and pixels."""

import base64
import json
import os
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from selenium.webdriver import Chrome, ChromeOptions
from selenium.webdriver.chrome.service import Service

CHROMIUM, DRIVER = "/usr/bin/chromium", "/usr/bin/chromedriver"
SIZES = {"phone": (360, 780), "tablet": (800, 1280), "wide": (1600, 900)}
VIEWS = ("setup", "rows", "cut")


def not_run(why: str) -> None:
    """Leave a test out and say so; where everything must run, that is a failure."""
    if os.environ.get("CI") == "true":
        pytest.fail(f"not run: {why}")
    pytest.skip(f"not run: {why}")


def started() -> Chrome:
    """The browser, with its messages and requests recorded."""
    for tool in (CHROMIUM, DRIVER):
        if shutil.which(tool) is None:
            not_run(f"{tool} is not there")
    options = ChromeOptions()
    options.binary_location = CHROMIUM
    for argument in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--hide-scrollbars"):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    return Chrome(options=options, service=Service(DRIVER))


@dataclass(frozen=True)
class Browser:
    """What the tests do with it."""

    chrome: Chrome

    def sized(self, name: str, *, dark: bool = False, ratio: float = 1) -> None:
        """A screen of this kind, light or dark."""
        wide, tall = SIZES[name]
        screen = {"width": wide, "height": tall, "deviceScaleFactor": ratio, "mobile": name == "phone"}
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.chrome.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
        self.chrome.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [scheme]})

    def open(self, page: Path, view: str = "setup") -> None:
        """The page from the disk, as from a stick; what was recorded before is dropped."""
        self.chrome.get("about:blank")
        self.messages()
        self.requests()
        self.chrome.get(f"{page.resolve().as_uri()}#{view}")

    def js(self, code: str, *arguments: Any) -> Any:
        """What a script gives back."""
        return self.chrome.execute_script(code, *arguments)

    def text(self, selector: str) -> str:
        """The text of an element."""
        return str(self.js("return document.querySelector(arguments[0]).textContent", selector))

    def press(self, key: str, times: int = 1) -> None:
        """A key, as from the keyboard, wherever the focus is."""
        names = {" ": ("Space", 32), "ArrowRight": ("ArrowRight", 39), "ArrowLeft": ("ArrowLeft", 37)}
        code, number = names[key]
        event = {"key": key, "code": code, "windowsVirtualKeyCode": number}
        for _ in range(times):
            self.chrome.execute_cdp_cmd("Input.dispatchKeyEvent", {"type": "keyDown", **event})
            self.chrome.execute_cdp_cmd("Input.dispatchKeyEvent", {"type": "keyUp", **event})

    def tap(self, selector: str) -> None:
        """A finger on the middle of an element."""
        middle = "const b = document.querySelector(arguments[0]); b.scrollIntoView({block: 'center'});"
        middle += "const r = b.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]"
        x, y = self.js(middle, selector)
        send = self.chrome.execute_cdp_cmd
        send("Emulation.setTouchEmulationEnabled", {"enabled": True})
        send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        send("Emulation.setTouchEmulationEnabled", {"enabled": False})

    def slide(self, to: int | str) -> None:
        """The slider over the blocks; "max" is its end."""
        self.js(
            "const b = document.getElementById('block'); b.value = arguments[0] === 'max' ? b.max : arguments[0];"
            "b.dispatchEvent(new Event('input'))",
            to,
        )

    def messages(self) -> list[str]:
        """What the console has said since it was last asked."""
        return [entry["message"] for entry in self.chrome.get_log("browser")]

    def requests(self) -> list[str]:
        """What the page has asked for since it was last asked, beside itself."""
        events = [json.loads(entry["message"])["message"] for entry in self.chrome.get_log("performance")]
        asked = [e["params"]["request"]["url"] for e in events if e["method"] == "Network.requestWillBeSent"]
        return [url for url in asked if not url.startswith(("data:", "about:"))][1:]

    def printed(self) -> bytes:
        """The page on paper, A4, as a PDF."""
        answer = self.chrome.execute_cdp_cmd("Page.printToPDF", {"paperWidth": 8.27, "paperHeight": 11.69})
        return base64.b64decode(answer["data"])

    def pixels(self, canvas: str, r: tuple[float, float], z: tuple[float, float]) -> list[list[list[int]]]:
        """Red, green and blue of a picture between these r and z (mm): rows by rising r, each by rising z."""
        code = """
            const canvas = document.getElementById(arguments[0]);
            const {scale, x0, y0} = canvas.dataset;
            const [r, z] = [arguments[1], arguments[2]];
            const [left, right] = z.map((one) => Math.round(Number(x0) + scale * one));
            const [low, high] = r.map((one) => Math.round(y0 - scale * one));
            const [wide, tall] = [right - left + 1, low - high + 1];
            const data = canvas.getContext('2d').getImageData(left, high, wide, tall).data;
            const at = (x, y) => [...data.slice(4 * (y * wide + x), 4 * (y * wide + x) + 3)];
            return [...Array(tall).keys()].reverse().map((y) => [...Array(wide).keys()].map((x) => at(x, y)));
        """
        return self.js(code, canvas, r, z)  # type: ignore[no-any-return]

    def scale(self, canvas: str) -> float:
        """Pixels of a picture to the mm."""
        return float(self.js("return document.getElementById(arguments[0]).dataset.scale", canvas))
