"""The picture of the steps: its figures are the table's, and it shows what stands over the section."""

import matplotlib as mpl
import numpy as np
import pytest

from tests.paper.conftest import sample
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box
from toolpath.paper.steps import UNDER, draw_steps

ROOM = Box(20.0, 30.0, 90.0, 100.0)


def drawn(name: str) -> Page:
    plan = sample(name).by_hand.plan
    with mpl.rc_context(style.SETTINGS):
        page = Page("a4")
        draw_steps(page, plan, style.Figures(plan.readout.units), ROOM)
        page.done()
    return page


def words(page: Page) -> str:
    return " ".join(text.get_text() for text in page.axes.texts)


def test_the_steps_of_a_bowl_stand_in_the_middle_of_the_picture():
    plan, page = sample("blank-bowl").by_hand.plan, drawn("blank-bowl")
    report = sample("blank-bowl").report.table
    assert f"{report.step_height_mm:.3f} mm at the highest" in words(page)
    assert f"{plan.left_to_blend / 1000:.3f} cc" in words(page)
    (metal,) = [c for c in page.axes.collections if type(c).__name__ == "PolyCollection"]
    outline = metal.get_paths()[0].vertices
    box = Box(ROOM.left, ROOM.bottom + UNDER, ROOM.right, ROOM.top)
    inside = outline[
        (outline[:, 0] > box.left)
        & (outline[:, 0] < box.right)
        & (outline[:, 1] > box.bottom)
        & (outline[:, 1] < box.top)
    ]
    assert len(inside) > 20
    assert np.ptp(inside[:, 1]) > 0.5 * (box.top - box.bottom)


def test_no_steps_no_picture():
    page = drawn("tractor-pair")
    assert words(page) == "the rows leave no steps to blend"
    assert not page.axes.collections


@pytest.mark.parametrize("name", ["blank-bowl", "tractor-pair"])
def test_words_stay_in_the_room(name):
    for box in drawn(name).taken.boxes:
        assert box.within(ROOM._replace(top=ROOM.top + 1))
