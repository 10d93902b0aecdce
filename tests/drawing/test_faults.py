"""What a drawing can have wrong: one sentence each, with the place and the size of the fault."""

import math
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.drawing.sheets import MM, UNSTATED, Draw, job_from, sheet
from tests.drawing.test_in import arc, centre_line, line, pan
from tests.sample_jobs import job_file, run
from toolpath.errors import InputError

ADVICE = 'drawings need the library ezdxf; install it with: python -m pip install "dishpath[drawings]"'


def gap(space: Any) -> None:
    line(space, 0, -4, 20, -4)
    line(space, 20.13, -4, 30, -4)
    line(space, 30, -4, 33, 0)


def crossing(space: Any) -> None:
    pan(space)
    line(space, 10, -6, 20, -2)


def branch(space: Any) -> None:
    pan(space)
    line(space, 28, -4, 30, -8)


def twice(space: Any) -> None:
    pan(space)
    line(space, 0, -4, 28, -4)


def undercut_wall(space: Any) -> None:
    line(space, 0, -4, 30, -4)
    line(space, 30, -4, 28.5, 0)


def undercut_arc(space: Any) -> None:
    """A pocket that goes on behind its mouth: an arc past its widest place."""
    line(space, 0, -8, 25, -8)
    arc(space, 25, -3, 5, 270, 390)


def open_end(space: Any) -> None:
    pan(space)
    space.delete_entity(space.query("LINE")[0])
    line(space, 3.2, -4, 28, -4)
    centre_line(space, 0)


def closed(space: Any) -> None:
    space.add_lwpolyline([(10, -4), (28, -4), (30, 0), (10, 0)], close=True)
    centre_line(space, 0)


def second(space: Any) -> None:
    pan(space)
    line(space, 5, 20, 30, 20)


def halves(space: Any) -> None:
    pan(space, 100)
    line(space, 100, -4.3, 72, -4.3)
    line(space, 72, -4.3, 66, 0)
    centre_line(space, 100)


def two_axes(space: Any) -> None:
    pan(space)
    centre_line(space, 0)
    centre_line(space, 45)


def no_axis(space: Any) -> None:
    pan(space, 17)


def upside_down(space: Any) -> None:
    line(space, 0, 4, 28, 4)
    line(space, 28, 4, 33, 0)


def bore_in_inches(space: Any) -> None:
    line(space, 0, -0.1, 1.75, -0.1)
    line(space, 1.75, -0.1, 1.75, 0)


def spline(space: Any) -> None:
    line(space, 0, -4, 12.5, -4)
    space.add_spline([(12.5, -4), (20, -3), (33, 0)])


def block(space: Any) -> None:
    drawn = space.doc.blocks.new("DISH")
    line(drawn, 0, -4, 30, 0)
    space.add_blockref("DISH", (7, 8))


def layers(space: Any) -> None:
    pan(space, layer="DISH")
    line(space, -90, 50, 90, 50, layer="FRAME")


@pytest.mark.parametrize(
    ("draw", "told"),
    [
        pytest.param(
            gap, "the section has a gap of 0.130 mm between x 20.000 y -4.000 and x 20.130 y -4.000", id="gap"
        ),
        pytest.param(crossing, "two lines cross at x 15.000 y -4.000", id="crossing"),
        pytest.param(branch, "more than two lines meet at x 28.000 y -4.000", id="branch"),
        pytest.param(twice, "more than two lines meet at x 28.000 y -4.000", id="a line drawn twice"),
        pytest.param(
            undercut_wall,
            "the section turns back by 1.500 mm at x 28.500 y 0.000: a tool",
            id="undercut wall",
        ),
        pytest.param(
            undercut_arc,
            f"the section turns back by {5 - 5 * math.cos(math.radians(30)):.3f} mm at x 30.000 y -3.000",
            id="undercut arc",
        ),
        pytest.param(
            open_end, "has an open end at x 3.200 y -4.000, 3.200 mm from the axis", id="open at the axis"
        ),
        pytest.param(closed, "the section is a closed outline", id="closed"),
        pytest.param(second, "the section has a gap of", id="a second outline"),
        pytest.param(halves, "its halves differ by 0.300 mm at x 100.000 y -4.300", id="halves that differ"),
        pytest.param(
            two_axes, "there are vertical centre lines at x 0.000 and x 45.000", id="two centre lines"
        ),
        pytest.param(no_axis, "the axis is not to be found: draw it as a vertical centre line", id="no axis"),
        pytest.param(upside_down, "the section is nowhere deeper than its outer end", id="upside down"),
        pytest.param(
            bore_in_inches,
            "its mouth is 3.5 mm across on a crown of 90 mm; it seems to be in inches",
            id="wrong units",
        ),
        pytest.param(spline, "layer 0 holds SPLINE at x 12.500 y -4.000; draw it as arcs", id="spline"),
        pytest.param(block, "layer 0 holds INSERT at x 7.000 y 8.000; explode the block", id="block"),
        pytest.param(layers, "it has several layers; state layer, one of DISH, FRAME", id="several layers"),
        pytest.param(lambda space: None, "it holds no line and no arc", id="nothing"),
    ],
)
def test_one_sentence_with_place_and_size(draw: Draw, told: str, tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, sheet(draw))
    assert fault.startswith('job.toml: existing.drawing = "bowl.dxf": ')
    assert told in fault
    assert fault.count("\n") == 0


def faults(place: Path, data: bytes, **how: Any) -> tuple[str, ...]:
    with pytest.raises(InputError) as caught:
        job_from(place, data, **how)
    return caught.value.faults


def test_an_empty_layer_names_those_that_are_not(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, sheet(layers), layer="BOWL")
    assert fault.endswith("layer BOWL holds no line and no arc; these layers do: DISH, FRAME")


def test_a_size_of_no_piston_is_told_for_a_file_without_units(tmp_path: Path) -> None:
    def draw(space: Any) -> None:
        line(space, 0, -2, 3000, 0)

    (fault,) = faults(tmp_path, sheet(draw, unit=UNSTATED))
    assert "its mouth is 6000 mm across on a crown of 90 mm" in fault
    assert "save the drawing with its units stated" in fault


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(b"", id="empty"),
        pytest.param(b"bowl\n", id="text"),
        pytest.param(b"AC1032" + bytes(range(256)) * 20, id="DWG"),
        pytest.param(b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20, id="picture"),
        pytest.param(b"%PDF-1.7\n1 0 obj\n", id="PDF"),
    ],
)
def test_not_a_drawing(data: bytes, tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, data)
    assert "it is not a DXF drawing" in fault or "it holds no line and no arc" in fault


def test_a_drawing_cut_off_in_the_middle_of_its_lines_is_a_fault(tmp_path: Path) -> None:
    whole = sheet(pan)
    lines = whole.index(b"ENTITIES"), whole.index(b"OBJECTS")
    for share in (0.0, 0.2, 0.4, 0.5):
        assert len(faults(tmp_path, whole[: int(lines[0] + share * (lines[1] - lines[0]))])) == 1


def test_a_large_file(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, b"0\n" * 25_000_000)
    assert fault.endswith("it is 50.0 MB large; 20 MB are the most")


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    job_from(tmp_path, sheet(pan))
    (tmp_path / "bowl.dxf").unlink()
    done = run("check", tmp_path / "job.toml")
    assert done.exit_code == 2
    assert "it cannot be read (No such file or directory); it is looked for beside the job" in done.output


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        ('form = "drawn"', "dish.drawing: it is missing; give the name of a DXF file"),
        ('form = "drawn"\nlayer = "A"', 'dish.layer = "A": it is a layer of dish.drawing, which is missing'),
        (
            'form = "drawn"\ndrawing = "bowl.dxf"\nmouth_diameter = 60',
            'dish.mouth_diameter = 60: it does not belong to dish.form = "drawn"',
        ),
        (
            'form = "drawn"\ndrawing = "bowl.dxf"\nfit = "scale"\ndepth = 3\nvolume_cc = 12',
            'dish.depth = 3: it cannot stand beside dish.fit = "scale"; keep one of the two',
        ),
        (
            'form = "flat"\nmouth_diameter = 60\ndepth = 3\ndrawing = "bowl.dxf"',
            'dish.drawing = "bowl.dxf": it does not belong to dish.form = "flat"',
        ),
        ('form = "drawn"\ndrawing = 7', "dish.drawing = 7: it is not the name of a file in quotes"),
    ],
)
def test_keys_of_a_drawn_dish(keys: str, told: str, tmp_path: Path) -> None:
    job_from(tmp_path, sheet(pan))
    text = (tmp_path / "job.toml").read_text(encoding="utf-8")
    before, after = text.split("[dish]")
    (tmp_path / "job.toml").write_text(f"{before}[dish]\n{keys}\n[tool]{after.split('[tool]')[1]}")
    done = run("check", tmp_path / "job.toml")
    assert done.exit_code == 2
    assert told in done.output


def test_without_the_library_in_and_out_say_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = sheet(pan, unit=MM)
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    (fault,) = faults(tmp_path, data)
    assert fault == f'job.toml: existing.drawing = "bowl.dxf": {ADVICE}'
    done = run("plot", job_file("pump-engine"), "--out", tmp_path / "a.dxf")
    assert done.exit_code == 2
    assert ADVICE in done.output
    assert not (tmp_path / "a.dxf").exists()
