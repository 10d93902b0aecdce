"""A starter job is never written over; pictures, pages and drawings by the ending of their file."""

from typing import Any

import pytest

from tests.edited import recut_of
from tests.jobs.judged import read
from toolpath.errors import InputError
from toolpath.job.starter import starter
from toolpath.output import start
from toolpath.output.files import (
    plotted,
    reads_diameter,
)
from toolpath.output.start import started

POST = 'post = "iso6983"'
HAND = (POST, 'post = "dro-table"')


def test_a_starter_job_is_never_written_over(tmp_path):
    place = tmp_path / "new.toml"
    started(place, None, None, print)
    first = place.read_bytes()
    assert b"\r" not in first
    assert read(first.decode()).piston.count == 4
    with pytest.raises(InputError, match=r"new\.toml: exists and is left as it is; choose another name$"):
        started(place, "blank-bowl", None, print)
    assert place.read_bytes() == first
    started(tmp_path / "bowl.toml", "blank-bowl", None, print)
    assert read((tmp_path / "bowl.toml").read_text(encoding="utf-8")).title == "Blank with a round bowl"


def test_a_starter_job_with_answers(tmp_path, monkeypatch):
    """The questions are put about the starter that was asked for; what is answered stands in the job."""
    seen = []

    def interview(*asked: Any) -> dict[str, str]:
        seen.append(asked)
        return {"piston.count": "2"}

    monkeypatch.setattr(start, "interview", interview)
    started(tmp_path / "two.toml", None, input, print)
    assert seen == [(input, print, starter(None))]
    assert "\ncount = 2 " in (tmp_path / "two.toml").read_text(encoding="utf-8")


def test_a_starter_job_where_none_can_be(tmp_path):
    with pytest.raises(
        InputError, match=r"new\.toml: cannot be written \(No such file or directory\); choose another"
    ):
        started(tmp_path / "none" / "new.toml", None, None, print)
    with pytest.raises(InputError, match="names a device on Windows"):
        started(tmp_path / "nul.toml", None, None, print)


@pytest.mark.parametrize(
    ("name", "begins"),
    [("s.png", b"\x89PNG"), ("S.PNG", b"\x89PNG"), ("s.svg", b"<?xml"), ("s.pdf", b"%PDF"), ("s.html", b"<!"),
     ("s.dxf", b"  0")],
)  # fmt: skip
def test_a_picture_by_its_ending(name, begins, tmp_path):
    out = tmp_path / "there" / name
    said = plotted(recut_of(), out, show=False, job_file="pump.toml")
    assert said == (str(out),)
    assert out.read_bytes().lstrip().lower().startswith(begins.strip().lower())


@pytest.mark.parametrize(("name", "ending"), [("s.bmp", ".bmp"), ("s", "nothing")])
def test_a_picture_that_is_not_drawn(name, ending, tmp_path):
    with pytest.raises(InputError) as raised:
        plotted(recut_of(), tmp_path / name, show=False, job_file="pump.toml")
    (fault,) = raised.value.faults
    assert fault.endswith(f"{name}: ends in {ending}; give .png, .svg, .pdf, .html or .dxf")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["s.png", "s.html", "s.dxf", "s"])
def test_a_window_in_place_of_a_file(name, tmp_path, monkeypatch):
    shown = []
    monkeypatch.setattr(
        "toolpath.paper.pages.show_section", lambda *a, diameter: shown.append((a[0], diameter))
    )
    recut = recut_of()
    assert plotted(recut, tmp_path / name, show=True, job_file="pump.toml") == ("closed",)
    assert shown == [(recut, True)]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("post", "x_reading", "diameter"),
    [
        ("iso6983", None, True),
        ("rs274ngc", None, False),
        ("dro-table", None, True),
        ("dro-table", "radius", False),
        ("iso6983", "radius", False),
    ],
)
def test_how_x_reads(post, x_reading, diameter):
    stated = "" if x_reading is None else f'\nx_reading = "{x_reading}"'
    assert reads_diameter(recut_of((POST, f'post = "{post}"{stated}'))) == diameter
