"""Letters that a font lacks: a box stands for each, and one line says so."""

from pathlib import Path

import pytest
from matplotlib.font_manager import findfont, get_font

from tests.sample_jobs import job_file, run
from toolpath.paper.labels import width_of
from toolpath.paper.letters import BOX, FAMILIES, boxed, drawable, properties

ODD = "汽缸 🔧👍🏽 поршень"


@pytest.mark.parametrize("face", FAMILIES)
def test_what_can_be_drawn_is_drawn_and_the_rest_is_a_box(face: str) -> None:
    assert drawable(ODD, face) == f"{BOX}{BOX} {BOX}{BOX}{BOX} поршень"  # type: ignore[arg-type]
    assert drawable("Ø 90.4 mm\nµ", face) == "Ø 90.4 mm\nµ"  # type: ignore[arg-type]
    assert drawable("\ufe0f\u200d", "sans") in ("", "\ufe0f\u200d")  # they only join what stands beside them


@pytest.mark.parametrize("face", FAMILIES)
def test_every_face_has_the_box(face: str) -> None:
    assert ord(BOX) in get_font(findfont(properties(face))).get_charmap()  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["🔧", "\udcff", "\x00\t", "ﷺ", "\U000e0041", "a\u0301"])
def test_any_text_has_a_width(text: str) -> None:
    assert width_of(text, 2.5) >= 0


def test_they_are_named_once() -> None:
    assert boxed(["plain", "Ø 5 mm", BOX]) == ()
    (line,) = boxed([ODD, "🔧 again"])
    assert line == (
        f"the sheets print {BOX} for 汽 缸 🔧 👍 🏽: their font has no such letter; files keep the text"
    )


def test_a_title_holder_and_file_name_with_odd_letters_make_every_sheet(tmp_path: Path) -> None:
    """These once ended in a traceback of the font."""
    text = job_file("pump-engine").read_text(encoding="utf-8")
    text = text.replace("Pump engine, four pistons", ODD).replace("plain bar 8 mm", "bar 🔩")
    place = tmp_path / "pump🔧.toml"
    place.write_text(text, encoding="utf-8")
    made = run("make", place, "--out", tmp_path / "out")
    assert made.exit_code == 0, made.output
    assert made.output.count("their font has no such letter") == 1
    assert (tmp_path / "out" / "pump🔧-sheet.pdf").read_bytes().startswith(b"%PDF")
    plot = run("plot", place, "--out", tmp_path / "s.png")
    record = run("pistons", place, "--record", tmp_path / "r.pdf")
    for done in (plot, record):
        assert done.exit_code == 0, done.output
        assert done.output.count("their font has no such letter") == 1
