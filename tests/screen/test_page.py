"""The page as text: its data, its policy, its size; no browser is needed."""

import base64
import csv
import hashlib
import io
import json
import re
from html.parser import HTMLParser

import pytest

from tests.sample_jobs import DIALECTS, POSTS, SAMPLES, job_file
from tests.screen.pages import made_page, sample_page
from toolpath.program.by_hand import table_of
from toolpath.screen.page import page

HOSTILE = '</script><img src=x onerror="window.hit=1">{{SCRIPT}}<!-- &amp; \u2028'
EIGHT = 400_000  # bytes


class Parts(HTMLParser):
    """Scripts and styles with their type, and every address in an attribute."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.texts: list[tuple[str, str]] = []
        self.kind = ""
        self.policy = ""
        self.addresses: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.kind = {"script": given.get("type") or "code", "style": "style"}.get(tag, "")
        self.addresses += [v or "" for k, v in attrs if k in ("src", "href", "action", "data")]
        assert not [k for k, _ in attrs if k.startswith("on") or k == "style"]
        if given.get("http-equiv") == "Content-Security-Policy":
            self.policy = given["content"] or ""

    def handle_data(self, data: str) -> None:
        if self.kind:
            self.texts.append((self.kind, data))

    def handle_endtag(self, tag: str) -> None:
        self.kind = ""

    def only(self, kind: str) -> str:
        """The one text of a kind."""
        (text,) = (text for k, text in self.texts if k == kind)
        return text


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("post", POSTS)
def test_the_page_asks_for_nothing_and_runs_only_itself(sample, post):
    parts = Parts(sample_page(sample, post).html)
    assert {address for address in parts.addresses if not address.startswith("#")} == {"data:,"}
    for kind, word in (("code", "script-src"), ("style", "style-src")):
        known = base64.b64encode(hashlib.sha256(parts.only(kind).encode()).digest()).decode()
        assert f"{word} 'sha256-{known}'" in parts.policy
    assert parts.policy.startswith("default-src 'none';")
    assert "unsafe" not in parts.policy
    code = parts.only("code")
    assert not re.search(
        r"innerHTML|outerHTML|insertAdjacent|document\.write|eval|Function\(|fetch|XMLHttp", code
    )


def test_hostile_titles_are_data():
    parts = Parts(made_page(job_file("pump-engine"), title=HOSTILE).html)
    (piece,) = json.loads(parts.only("application/json"))
    assert piece["title"] == HOSTILE
    assert "onerror" not in parts.only("code")


@pytest.mark.parametrize("sample", SAMPLES)
def test_rows_are_those_of_the_table(sample):
    made = sample_page(sample)
    rows = list(csv.DictReader(io.StringIO(table_of(made.recut).csv)))
    shown = made.piece.data["rows"]["rows"]
    assert [[row[key] for key in ("cut", "z", "start", "stop", "infeed", "slide")] for row in shown] == [
        [r["cut"], r["z"], r["x_start"], r["x_stop"], r["infeed"], None] for r in rows
    ]


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("post", DIALECTS)
def test_blocks_take_the_time_of_the_report(sample, post):
    """The plan's time is a closed integral over its own moves; the page's is summed over the text's."""
    made = sample_page(sample, post)
    seconds = sum(block[14] for block in made.piece.data["blocks"])
    # the way from where the machine stands to the first place that the text states counts in neither
    assert seconds == pytest.approx(made.report["plan"]["total_s"], rel=2e-3)


def test_speed_is_that_of_the_programmed_point():
    """m/min over pi times the diameter that the control shows, up to the cap: by head from the text.

    G96 S250 at X104.522 turns 1000 * 250 / (pi * 104.522) = 761.3 rev/min, at X70.909 1122.3.
    """
    data = sample_page("pump-engine", "iso6983").piece.data
    lines = [n for n, text in enumerate(data["text"], 1) if text == "G01 X70.909 Z0.25 F0.1"]
    (block,) = (b for b in data["blocks"] if b[0] == lines[0])
    assert block[11:14] == pytest.approx([0.1, 761.3, 1122.3], abs=0.1)


@pytest.mark.parametrize("post", POSTS)
def test_the_smallest_gap_is_the_reports(post):
    made = sample_page("pump-engine", post)
    found = min(block[15] for block in made.piece.data["blocks"] if block[15] is not None)
    if post == "dro-table":  # a hand's rows step along the wall
        assert found > 0
    else:
        assert found == pytest.approx(made.report["clearance"]["holder_gap_mm"], abs=0.02)


def test_the_name_of_the_ticks_changes_with_rows_text_piston_and_stage():
    job = job_file("pump-engine")
    names = [
        made_page(job).piece.key,
        made_page(job, "system-a").piece.key,
        made_page(job, "dro-table").piece.key,
        made_page(job, piston=1).piece.key,
        made_page(job, piston=2).piece.key,
    ]
    assert len(set(names)) == len(names)
    assert names[0] == made_page(job).piece.key


def test_eight_pistons_fit_on_a_stick_of_any_age():
    pieces = [made_page(job_file("four-valve"), piston=n).piece for n in (1, 2, 3, 4, 1, 2, 3, 4)]
    assert len(page(pieces).encode()) < EIGHT
    with pytest.raises(ValueError, match="at least one piece"):
        page([])


def test_a_stage_says_piston_cut_reading_and_command():
    data = made_page(job_file("pump-engine"), piston=3).piece.data
    assert (data["which"], data["cut"]) == ("Piston 3 of 4", "First cut")
    assert data["reading"]["type"] == "dishpath reading pump-engine.toml 3=CC"
    assert "19 times in 20" in data["reading"]["within"]


@pytest.mark.parametrize(
    ("piston", "left"),
    [(None, "Nothing is left for a later cut"), (1, "are left on purpose, for the last cut")],
)
def test_a_first_cut_says_what_it_leaves(piston, left):
    data = made_page(job_file("pump-engine"), piston=piston).piece.data
    words = data["reading"]["left"]
    if piston is None:
        assert words == left
        return
    amount, _, rest = words.partition(" cc ")
    assert rest == left
    target = next(text for name, text in data["dish"] if name == "target")
    assert float(amount) == pytest.approx(float(target.split()[0]) - float(data["reading"]["cc"]), abs=1.1e-3)


@pytest.mark.parametrize("sample", SAMPLES)
def test_the_least_holder_clearance_is_no_more_than_any_gap_that_is_played(sample):
    data = sample_page(sample).piece.data
    said = next(text for name, text in data["tool"] if name == "holder clearance")
    gaps = [block[15] for block in data["blocks"] if block[15] is not None]
    assert float(said.split()[0]) <= min(gaps) * data["factor"]


def test_set_up_says_what_the_first_stop_must_show():
    made = made_page(job_file("pump-engine"), piston=1)
    (line,) = (line for line in made.piece.data["touch"]["lines"] if "stops before it cuts" in line)
    assert "20.000 mm before the finished crown, 19.500 mm before the crown as it stands now" in line
    assert made.text is not None
    assert "GAP TO THE CROWN AS IT STANDS: 19.500 MM" in " ".join(made.text.replace(")\n(", " ").split())
