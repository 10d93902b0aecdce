"""Measured lettering against matplotlib, and where it may stand."""

from itertools import pairwise

import matplotlib as mpl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box, Face, Taken, box_of, spread, width_of, wrapped


@pytest.mark.parametrize(
    ("text", "face", "upright"),
    [
        ("mouth Ø 68.000 mm", "sans", True),
        ("set X 90.400 mm diameter", "bold", True),
        ("row  done", "mono", True),
        ("crown Ø 84.000 mm", "sans", False),
    ],
)
def test_box_is_what_matplotlib_draws(text: str, face: Face, upright: bool) -> None:
    with mpl.rc_context(style.SETTINGS):
        page = Page("a4")
        page.figure.set_dpi(600)
        box = page.text(60.0, 90.0, text, 3.5, face=face, upright=upright)
        drawn = page.axes.texts[0].get_window_extent(FigureCanvasAgg(page.figure).get_renderer())
        found = drawn.get_points().ravel() * 25.4 / 600
    assert found == pytest.approx((box.left, box.bottom, box.right, box.top), abs=0.45)


def test_width_grows_with_height() -> None:
    assert width_of("68.000 mm", 5.0) == pytest.approx(2 * width_of("68.000 mm", 2.5))


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("the room left is 0.274 mm", "0.274 mm"),
        ("drawn where it stands at X 3.0000 in", "X 3.0000 in"),
        ("mouth measured at Ø 68.000 mm", "Ø 68.000 mm"),
        ("it turns with 880 rev/min", "880 rev/min"),
    ],
)
def test_number_stays_with_unit(text: str, kept: str) -> None:
    widths = [0.1 * k for k in range(50, 600)]
    for width in widths:
        lines = wrapped(text, width, 2.5)
        assert any(kept in line for line in lines)
        assert " ".join(lines) == text


def test_line_fits_width() -> None:
    text = "the machine's manual and local rules come before anything on this sheet"
    assert all(width_of(line, 2.5) <= 40.0 for line in wrapped(text, 40.0, 2.5))


BOX = Box(10.0, 10.0, 20.0, 15.0)


@pytest.mark.parametrize(
    ("a", "b", "meets"),
    [
        ((0.0, 12.0), (30.0, 12.0), True),
        ((0.0, 16.0), (30.0, 16.0), False),
        ((15.0, 0.0), (15.0, 30.0), True),
        ((21.0, 0.0), (21.0, 30.0), False),
        ((0.0, 0.0), (30.0, 24.0), True),
        ((0.0, 0.0), (9.0, 9.0), False),
        ((12.0, 11.0), (13.0, 12.0), True),
        ((0.0, 8.0), (16.0, 24.0), False),
    ],
)
def test_line_meets_box(a: tuple[float, float], b: tuple[float, float], meets: bool) -> None:
    assert BOX.meets(a, b) is meets
    assert BOX.meets(b, a) is meets


def test_first_free_place() -> None:
    taken = Taken()
    taken.add(BOX)
    taken.cross((0.0, 30.0), (40.0, 30.0))
    places = [Box(12, 12, 14, 14), Box(12, 29, 14, 31), Box(12, 40, 14, 42)]
    assert taken.first_free(places) == 2
    assert taken.first_free(places[:2]) == 1  # rather over a line than over lettering


@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(1, 9)), min_size=1, max_size=9).map(
        lambda rows: sorted(rows)
    )
)
def test_spread_keeps_order_and_room(rows: list[tuple[float, float]]) -> None:
    heights = [h for _, h in rows]
    middles = spread([y for y, _ in rows], heights, 0.0, 100.0)
    edges = [(m - h / 2, m + h / 2) for m, h in zip(middles, heights, strict=True)]
    assert edges[0][0] >= -1e-9
    assert edges[-1][1] <= 100 + 1e-9
    assert all(high <= low + 1e-9 for (_, high), (low, _) in pairwise(edges))


def test_upward_text_is_turned() -> None:
    flat = box_of(0, 0, "abc", 2.5, across="center", upright=True)
    turned = box_of(0, 0, "abc", 2.5, across="center", upright=False)
    assert turned.top - turned.bottom == pytest.approx(flat.right - flat.left)
    assert turned.right - turned.left == pytest.approx(flat.top - flat.bottom)
