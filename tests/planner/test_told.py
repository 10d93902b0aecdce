"""What the plan and the statements have to say, whole: severity, code, words, value, limit, unit, advice."""

import pytest

from tests.edited import Change, edited, recut_of
from toolpath.clearance.heel import KINDS
from toolpath.errors import InputError
from toolpath.findings import Finding
from toolpath.moves import Arc, Line, Rapid
from toolpath.planner.economy import economy
from toolpath.table.readout import Readout
from toolpath.tool.spindle import spindle_sense

FINISHED: Change = ('# crown_touched = "as-received"', 'crown_touched = "finished"')
INNER: Change = ('control_point = "face-outer"', 'control_point = "face-inner"')


def said(code: str, *changes: Change, sample: str = "pump-engine") -> Finding:
    (found,) = [one for one in recut_of(*changes, sample=sample).findings if one.code == code]
    return found


def test_a_skim_of_a_crown_that_was_touched_finished():
    assert said("crown-touched", FINISHED) == Finding(
        "refused",
        "crown-touched",
        "setup.crown_touched is finished, but this stage skims the crown",
        0.5,
        0.0,
        "mm",
        "touch the as-received crown before a skim",
    )


def test_a_feed_over_a_tenth_of_the_insert_radius():
    assert said("coarse-feed", ("feed = 0.10 ", "feed = 0.60 ")) == Finding(
        "warning",
        "coarse-feed",
        "cutting.feed is over a tenth of the insert radius",
        0.6,
        0.5,
        "mm/rev",
        "take a finer feed unless the marks on floor and wall do not matter",
    )


def test_the_cap_of_the_spindle():
    """v = pi d n / 1000, held against tables in tests/outside/test_turning.py: 44.21 mm, and 880 rev/min at 90.4."""
    found = said("speed-cap")
    assert (found.severity, found.unit, found.limit) == ("note", "mm", None)
    assert found.value == pytest.approx(44.21, abs=0.005)
    assert (
        found.what
        == "the spindle turns 880 rev/min at the rim and reaches its cap of 1800 rev/min at diameter"
    )


@pytest.mark.parametrize(
    ("may", "severity", "advice"),
    [(True, "note", ""), (False, "refused", "use face-outer or insert-centre on this machine")],
)
def test_x_of_the_inner_side_below_zero(may: bool, severity: str, advice: str):
    inner = ('control_point = "insert-centre"', 'control_point = "face-inner"')
    machine = ("[machine]", f"[machine]\nnegative_x = {str(may).lower()}")
    found = said("negative-x", inner, machine, sample="blank-bowl")
    assert (found.severity, found.advice, found.unit) == (severity, advice, "mm")
    assert found.limit == (None if may else 0.0)
    assert ("machine.negative_x is false" in found.what) != may


def test_an_insert_that_hangs_into_the_ring_groove():
    found = said(
        "land-under-insert",
        INNER,
        ("top_land = 8.0 ", "top_land = 5.4 "),
        ("min_top_land = 6.5 ", "min_top_land = 1.0 "),
    )
    assert found == Finding(
        "refused",
        "land-under-insert",
        "touched with its inner side, the insert hangs down beside the piston past piston.top_land, into the "
        "ring groove",
        5.4,
        5.5,
        "mm",
        "touch with the outer side (tool.control_point = face-outer) or use a smaller insert",
    )


@pytest.mark.parametrize(
    ("side", "face", "sense"),
    [("front", "up", "cw"), ("rear", "up", "ccw"), ("front", "down", "ccw"), ("rear", "down", "cw")],
)
def test_the_sense_turns_with_the_side_and_with_the_face(side: str, face: str, sense: str):
    """ISO 841, M03 clockwise seen from the headstock: from memory."""
    job = edited(
        ('# tool_side = "front" ', f'tool_side = "{side}" '),
        ('# insert_face = "up" ', f'insert_face = "{face}" '),
    )
    assert spindle_sense(job) == sense


def test_every_step_has_a_role_that_fits_its_move():
    for step in recut_of().steps:
        if isinstance(step.move, Rapid):
            assert step.role == "rapid"
        elif isinstance(step.move, Line | Arc):
            assert step.role in ("approach", "cut", "leave")
        else:
            assert step.role == "around"


def test_every_move_at_feed_wants_its_seconds():
    steps = recut_of().steps
    feeds = sum(isinstance(step.move, Line | Arc) for step in steps)
    assert economy(steps, 1.0, [1.0] * feeds).feed_s == feeds
    with pytest.raises(ValueError, match="zip"):
        economy(steps, 1.0, [1.0] * (feeds + 1))


@pytest.mark.parametrize("name", ["insert radius", "readout resolution", "handwheel division"])
def test_a_length_of_the_readout_that_is_none(name: str):
    lengths = {"insert radius": 5.0, "readout resolution": 0.01, "handwheel division": 0.02} | {name: 0.0}
    with pytest.raises(InputError, match=name):
        Readout("face-outer", lengths["insert radius"], "mm", "diameter", *list(lengths.values())[1:])


def test_every_kind_of_pass_has_a_word_on_the_heel():
    assert {one.kind for one in recut_of().plan.passes} <= set(KINDS)
