"""The files: names, what a PDF reader finds in them, sizes in points, and the same bytes every time."""

import io
import os
import re
import struct
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from postprocessors.numbers import fixed
from tests.paper.conftest import Drawn
from tests.sample_jobs import job_file
from toolpath.errors import InputError
from toolpath.output.files import reads_diameter
from toolpath.paper.pages import pictures, section_picture, sheet_pdf, show_section
from toolpath.paper.style import Paper
from toolpath.reference import table

POINT = 72 / 25.4  # points in a mm


def files(drawn: Drawn, paper: Paper = "a4") -> dict[str, bytes]:
    cut = drawn.cut
    return {**pictures(cut, paper), "job-sheet.pdf": sheet_pdf(cut, "full", paper, rows=True)}


KEPT: dict[tuple[int, Paper], dict[str, bytes]] = {}


def kept(drawn: Drawn, paper: Paper = "a4") -> dict[str, bytes]:
    """The files of a sample, made once."""
    key = (id(drawn.recut), paper)
    if key not in KEPT:
        KEPT[key] = files(drawn, paper)
    return KEPT[key]


def reader(drawn: Drawn) -> PdfReader:
    return PdfReader(io.BytesIO(kept(drawn)["job-sheet.pdf"]))


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_names_and_kinds(pump: Drawn) -> None:
    found = kept(pump)
    assert sorted(found) == ["job-corner.png", "job-section.png", "job-sheet.pdf"]
    assert found["job-sheet.pdf"].startswith(b"%PDF-")
    for name in ("job-corner.png", "job-section.png"):
        assert found[name].startswith(b"\x89PNG\r\n\x1a\n")
        assert b"matplotlib" not in found[name].lower()


def test_same_job_same_bytes(pump: Drawn) -> None:
    assert files(pump) == kept(pump)


def test_nothing_tells_the_day_or_the_maker(pump: Drawn) -> None:
    found = reader(pump)
    assert not dict(found.metadata or {})


@pytest.mark.parametrize(("paper", "size"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_paper_size(pump: Drawn, paper: Paper, size: tuple[float, float]) -> None:
    """ISO 216 and the American letter, 8.5 x 11 in."""
    for page in PdfReader(io.BytesIO(kept(pump, paper)["job-sheet.pdf"])).pages:
        box = page.mediabox
        assert (float(box.width), float(box.height)) == pytest.approx([s * POINT for s in size], abs=0.02)


def test_cautions_can_be_read(sample: Drawn) -> None:
    said = plain(reader(sample).pages[0].extract_text())
    for line in table("cautions")["sheet"]["lines"]:
        assert plain(line) in said
    for found in sample.recut.findings:
        if found.severity != "note":
            assert plain(found.line()) in said


def test_numbers_to_set_can_be_read(sample: Drawn) -> None:
    said = plain(reader(sample).pages[0].extract_text())
    inch = sample.recut.job.machine.program_units == "inch"
    touch = sample.recut.touch_off
    unit, factor, decimals = ("in", 1 / 25.4, 4) if inch else ("mm", 1.0, 3)
    program = sample.report.program
    radius = program is not None and program.x_reading == "radius"
    x = touch.x_to_set * (1 if radius else 2)
    assert f"set Z {touch.z_to_set * factor:.{decimals}f} {unit}" in said
    assert f"set X {x * factor:.{decimals}f} {unit} {'radius' if radius else 'diameter'}" in said
    assert touch.crown in said
    if program is not None:
        assert program.z_to_set == pytest.approx(touch.z_to_set)
        assert program.x_to_set == pytest.approx(x)


def test_expected_volume_can_be_read(sample: Drawn) -> None:
    said = plain(reader(sample).pages[0].extract_text())
    assert f"{sample.report.volume.finished_cc:.3f} cc" in said
    assert f"{sample.report.volume.target_cc:.3f} cc" in said


def test_every_row_of_the_table_can_be_read(sample: Drawn) -> None:
    found = sample.by_hand.table
    said = plain(" ".join(page.extract_text() for page in reader(sample).pages[3:]))
    for number, row in enumerate(found.rows, 1):
        numbers = " ".join(fixed(v, found.decimals) for v in (row.z, row.x_start, row.x_stop, row.infeed))
        assert f"{number} {row.cut} {numbers}" in said
    for line in (*sample.by_hand.plan.notes, *found.closing):
        assert plain(line) in said


def test_the_table_of_a_program_is_printed_only_when_asked(sample: Drawn) -> None:
    without = sheet_pdf(sample.cut, "full", "a4", rows=False)
    said = plain(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(without)).pages))
    assert ("Table for the readout" in said) == (
        sample.report.program is None or sample.report.program.file is None
    )


def test_nothing_of_the_set_up_is_printed_with_the_table(sample: Drawn) -> None:
    said = [plain(page.extract_text()) for page in reader(sample).pages]
    for line in sample.recut.touch_off.lines(sample.cut.subject.shown):
        assert sum(plain(line) in page for page in said) == 1


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pages_of_a_sheet(sample: Drawn, paper: Paper) -> None:
    """Set-up, section, corner, readings, template; the table of a manual lathe where the readings have no room."""
    count = 6 if sample.cut.hand and paper == "letter" else 5
    assert len(sample.sheet(paper, rows=False)) == count


def test_fonts_are_embedded_whole(pump: Drawn) -> None:
    """Type 42: TrueType outlines stand in the file as FontFile2; no Type 3, which printers draw badly."""
    fonts: list[DictionaryObject] = []
    for page in reader(pump).pages:
        resources = page["/Resources"].get_object()
        assert isinstance(resources, DictionaryObject)
        fonts += [f.get_object() for f in resources["/Font"].get_object().values()]  # type: ignore[attr-defined]
    assert fonts
    for font in fonts:
        assert font["/Subtype"] == "/Type0"
        inner = font["/DescendantFonts"][0].get_object()  # type: ignore[index]
        assert inner["/Subtype"] == "/CIDFontType2"
        assert "/FontFile2" in inner["/FontDescriptor"]


HOLDER_UNKNOWN = """
units = "mm"
piston = {crown_diameter = 80, underside_depth = 20}
existing = {form = "none"}
crown = {skim = 0.4}
dish = {form = "flat", mouth_diameter = 50, depth = 5}
tool = {insert = "RCGT 0803 M0"}
cutting = {fixed_rpm = 800, feed = 0.1, skim_depth_of_cut = 0.2, dish_depth_of_cut = 0.5}
machine = {post = "iso6983"}
"""


def drawn_lines(content: bytes) -> list[list[tuple[float, float]]]:
    """The straight runs of a PDF content stream, points of 1/72 in."""
    runs: list[list[tuple[float, float]]] = []
    for x, y, operator in re.findall(rb"(-?[\d.]+) (-?[\d.]+) ([ml])\b", content):
        if operator == b"m":
            runs.append([])
        runs[-1].append((float(x), float(y)))
    return runs


BARS = {"mm": 100.0, "inch": 4 * 25.4}  # mm


@pytest.mark.parametrize("units", BARS)
def test_template_is_printed_full_size(draw: Callable[[str], Drawn | None], units: str) -> None:
    """Both bars are 100 mm or 4 in, the profile's stand-back and height are the template's, in points."""
    drawn = draw(HOLDER_UNKNOWN.replace('"iso6983"', f'"iso6983", program_units = "{units}"'))
    bar = BARS[units]
    assert drawn is not None
    clearance = drawn.recut.clearance
    assert clearance is not None
    assert clearance.flank is not None
    page = reader(drawn).pages[-1]
    said = page.extract_text()
    assert "Grinding template, 1:1" in said
    for word in ("100 mm" if units == "mm" else "4.000 in", "the part", "holder: left", "cutting edge"):
        assert word in said
    contents = page.get_contents()
    assert contents is not None
    runs = drawn_lines(contents.get_data())
    ends = [(run[-1][0] - run[0][0], run[-1][1] - run[0][1]) for run in runs]
    assert any(abs(x - bar * POINT) < 1e-3 and abs(y) < 1e-3 for x, y in ends)
    assert any(abs(x) < 1e-3 and abs(y - bar * POINT) < 1e-3 for x, y in ends)
    template = clearance.flank.template
    (profile,) = (run for run in runs if len(run) == len(template))
    edge = profile[0][0] + template[0][1] * POINT
    for (x, y), (height, back) in zip(profile, template, strict=True):
        assert edge - x == pytest.approx(back * POINT, abs=1e-3)
        assert profile[0][1] - y == pytest.approx((height - template[0][0]) * POINT, abs=1e-3)


def test_no_template_where_the_holder_is_known(draw: Callable[[str], Drawn | None]) -> None:
    holder = 'holder = {direction = "z", width = 5, set_back = 2, overhang = 30, height_below_edge = 6}\n'
    drawn = draw(HOLDER_UNKNOWN + holder)
    assert drawn is not None
    assert "Grinding template" not in reader(drawn).pages[-1].extract_text()


@pytest.mark.parametrize(("ending", "start"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF-")])
def test_section_alone(pump: Drawn, ending: str, start: bytes) -> None:
    found = section_picture(pump.recut, pump.report, ending, diameter=True)
    assert found.startswith(start)
    assert found == section_picture(pump.recut, pump.report, ending, diameter=True)
    assert b"<dc:date>" not in found


def test_section_alone_reads_x_as_the_program_does(sample: Drawn) -> None:
    picture = section_picture(sample.recut, sample.report, "pdf", diameter=reads_diameter(sample.recut))
    said = PdfReader(io.BytesIO(picture)).pages[0].extract_text()
    program = sample.report.program
    radius = program is not None and program.x_reading == "radius"
    assert ("mm radius" in said) == radius


@pytest.mark.parametrize("backend", ["agg", "svg", "pdf", "template"])
def test_no_window_from_a_backend_that_only_writes_files(pump: Drawn, backend: str) -> None:
    from matplotlib import pyplot

    before = pyplot.get_backend()
    pyplot.switch_backend(backend)
    try:
        with pytest.raises(InputError, match="no window can be opened here; write a picture with --out"):
            show_section(pump.recut, pump.report, diameter=True)
    finally:
        pyplot.switch_backend(before)


def test_no_window_from_a_window_system_that_is_not_there(
    pump: Drawn, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none(*_: object) -> None:
        raise ImportError("no such window system")

    monkeypatch.setattr("matplotlib.pyplot.figure", none)
    with pytest.raises(InputError, match="no window can be opened here"):
        show_section(pump.recut, pump.report, diameter=True)


def test_pictures_do_not_load_the_window_system() -> None:
    code = "import sys, toolpath.paper.pages; sys.exit('matplotlib.pyplot' in sys.modules)"
    subprocess.run([sys.executable, "-c", code], check=True, env={**os.environ, "MPLBACKEND": "agg"})


def test_drawing_leaves_the_settings_alone(pump: Drawn) -> None:
    import matplotlib as mpl

    before = dict(mpl.rcParams)
    files(pump)
    assert dict(mpl.rcParams) == before


def test_picture_is_large_enough_to_print(pump: Drawn) -> None:
    wide, tall = struct.unpack(">II", kept(pump)["job-section.png"][16:24])
    assert (wide, tall) == (1653, 2338)


def test_a_backend_that_matplotlib_does_not_know_is_one_sentence(tmp_path: Path) -> None:
    """It is named in the surroundings, where no job file can be at fault."""
    words = [
        sys.executable,
        "-m",
        "toolpath",
        "plot",
        str(job_file("pump-engine")),
        "--out",
        str(tmp_path / "x.png"),
    ]
    done = subprocess.run(
        words, capture_output=True, text=True, env={**os.environ, "MPLBACKEND": "nonsense"}, check=False
    )
    assert done.returncode == 2
    assert done.stderr == "MPLBACKEND = nonsense: matplotlib has no backend of this name; unset it\n"
    assert not list(tmp_path.iterdir())
