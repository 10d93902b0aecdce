"""Where the wings meet: what a stage makes of a job, what stops it, and what the operator is told about the zero."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from tests.edited import edited
from tests.sample_jobs import job_file
from toolpath import recut as wings
from toolpath.errors import InputError
from toolpath.findings import stops
from toolpath.program.frames import frame_of, shown
from toolpath.readings.log import Reading
from toolpath.readings.standing import Known
from toolpath.recut import Recut, Refused, design_of, resolve, work_of

POCKET = "[[pocket]]\nvolume_cc = 0.4\narea_mm2 = 190\nopen_to_edge = true\n[crown]"
BURETTE = '[burette]\ncapacity_cc = 25\nclass = "A"\ngraduation_cc = 0.05\nmethod = "{}"\n'


def without_burette() -> tuple[str, str]:
    text = job_file("pump-engine").read_text(encoding="utf-8")
    return re.findall(r"(?s)\[burette\].*?(?=\[setup\])", text)[0], ""


def last_cut(zero: str, *changes: tuple[str, str]) -> Recut:
    """The last cut of the second piston, its first cut read a little under what was expected."""
    job = edited(('zero = "noted"', f'zero = "{zero}"'), *changes)
    first = resolve(job, stage="first", piston=2)
    assert isinstance(first, Recut)
    assert first.next_cut is not None
    read = Reading(2, "first", "burette", first.next_cut.expected.volume - 40.0)
    found = resolve(job, stage="last", piston=2, readings=[read])
    assert isinstance(found, Recut)
    return found


# ---- what stops a job --------------------------------------------------------------------------

HOPELESS = ("underside_depth = 13.5", "underside_depth = 13.5\nraised_crown = 2.0")
SLIP = ("underside_depth = 13.5", "underside_depth = 135")  # a decimal point lost
TWISTED = ('post = "iso6983"', 'post = "iso6983"\nspindle_direction = "ccw"')
TOO_MUCH = ("volume_cc = 11.6", "volume_cc = 60")


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        pytest.param((HOPELESS,), ["raised-crown"], id="raised crown"),
        pytest.param((SLIP,), ["unit-slip"], id="slip of the unit"),
        pytest.param((HOPELESS, TWISTED), ["raised-crown", "spindle-sense"], id="two at once"),
        pytest.param((TOO_MUCH,), ["target-out-of-reach"], id="no section"),
        pytest.param(
            (TOO_MUCH, TWISTED), ["spindle-sense", "target-out-of-reach"], id="no section, and more"
        ),
    ],
)
def test_a_refused_job_says_which_cut_and_the_refusals_first(changes, codes):
    job = edited(*changes)
    found = resolve(job, stage="first", piston=3)
    assert isinstance(found, Refused)
    assert (found.job, found.stage, found.piston) == (job, "first", 3)
    assert [f.code for f in found.findings[: len(codes)]] == codes
    assert stops(found.findings) == found.findings[: len(codes)]
    assert "centre-height" in {f.code for f in found.findings}  # what is only good to know stands after


@pytest.mark.parametrize(
    ("change", "codes"),
    [(HOPELESS, ["raised-crown"]), (SLIP, ["unit-slip"]), (TOO_MUCH, ["target-out-of-reach"])],
)
def test_no_section_without_a_refusal(change, codes):
    found = design_of(edited(change))
    assert isinstance(found, tuple)
    assert [f.code for f in found] == codes


def test_an_insert_that_hangs_past_its_land_has_a_section_all_the_same():
    """What is wrong with the touch-off alone does not keep a set from being read."""
    job = edited(
        ("top_land = 8.0", "top_land = 5.4"), ("min_top_land = 6.5", ""), ('"face-outer"', '"face-inner"')
    )
    assert {f.code for f in stops(resolve(job).findings)} == {"land-under-insert"}
    assert design_of(job).target == pytest.approx(11600.0)


@pytest.mark.parametrize(
    ("skim", "dish", "key", "value", "skims"),
    [
        pytest.param("0.0001", "0.0006", "dish_depth_of_cut", "0.0006 mm", 5000, id="dish"),
        pytest.param("0.00007", "0.0008", "skim_depth_of_cut", "7e-05 mm", 7143, id="skim"),
    ],
)
def test_depths_of_cut_that_no_one_meant_are_refused_and_the_greater_count_blamed(
    skim, dish, key, value, skims
):
    """Skim 0.5, dish 3.08 mm: each alone would pass."""
    job = edited(
        ("skim_depth_of_cut = 0.25", f"skim_depth_of_cut = {skim}"),
        ("dish_depth_of_cut = 0.5", f"dish_depth_of_cut = {dish}"),
        ("allowance = 0.15", "allowance = 0.0001"),
    )
    with pytest.raises(InputError) as raised:
        resolve(job)
    (fault,) = raised.value.faults
    passes = skims + math.ceil(design_of(job).depth / float(dish))
    assert fault.startswith(f"cutting.{key} = {value}: ")
    assert f"{passes:,} passes, more than 10,000" in fault


def test_as_many_passes_as_may_be(monkeypatch):
    """Skim 0.5 by 0.25 makes two, the dish to its depth by 0.5 seven."""
    job = edited()
    assert 3.0 < design_of(job).depth < 3.5
    monkeypatch.setattr(wings, "MOST_PASSES", 9)
    assert isinstance(resolve(job), Recut)
    monkeypatch.setattr(wings, "MOST_PASSES", 8)
    with pytest.raises(
        InputError, match=r"cutting\.dish_depth_of_cut = 0\.5 mm: would make 9 passes, more than 8"
    ):
        resolve(job)


@pytest.mark.parametrize(
    ("changes", "refused"),
    [
        pytest.param([without_burette()], True, id="no burette: a plate"),
        pytest.param([], True, id="plate on the crown"),
        pytest.param([('"plate-on-crown"', '"down-the-bore"\npiston_below_deck = 0.2')], False, id="down the bore"),
    ],
)  # fmt: skip
def test_a_pocket_that_a_plate_cannot_seal(changes, refused):
    found = resolve(edited(("[crown]", POCKET), *changes))
    assert ("pocket-open-to-edge" in {f.code for f in found.findings}) == refused
    assert found.stopped == refused


# ---- stages ------------------------------------------------------------------------------------


def test_the_last_stage_needs_a_reading():
    with pytest.raises(InputError, match="reading"):
        resolve(edited(), stage="last", piston=1)


def test_without_a_burette_one_cut_is_made_of_what_is_stated():
    found = resolve(edited(without_burette()), piston=1)
    assert isinstance(found, Recut)
    assert found.next_cut is None
    assert not {"one-cut-unsure", "tolerance-out-of-reach"} & {f.code for f in found.findings}


def test_without_a_burette_a_reading_still_tells_that_the_piston_was_cut():
    found = resolve(edited(without_burette()), piston=1, readings=[Reading(1, "first", "depth", 2.5)])
    assert [f.code for f in stops(found.findings)] == ["already-cut"]


SET = (9299.0, 9300.0, 9301.0)  # mm3: the other pistons of a set that is alike
MIXED = (9000.0, 9300.0, 9700.0)


@pytest.mark.parametrize(
    ("others", "unsure"), [((), True), (SET, False), (MIXED, True)], ids=["none", "alike", "mixed"]
)
def test_what_the_other_pistons_tell_decides_whether_one_cut_is_enough(others, unsure):
    found = resolve(edited(), piston=1, known=Known(others))
    codes = {f.code for f in found.findings}
    assert ("one-cut-unsure" in codes) == unsure
    assert "centre-height" in codes  # it comes beside what is stated
    # a whole set is not one piston: the question is asked of a piston only
    assert "one-cut-unsure" not in {f.code for f in resolve(edited(), known=Known(others)).findings}


def test_what_the_other_pistons_tell_decides_how_short_the_first_cut_stops():
    depths = [
        resolve(edited(), stage="first", piston=1, known=Known(k)).design.depth for k in (SET, (), MIXED)
    ]
    assert depths == sorted(depths, reverse=True)
    assert depths[0] - depths[1] > 0.05


# ---- what is to be cut -------------------------------------------------------------------------

across = np.linspace(0.0, 45.1, 903)


@pytest.mark.parametrize("lip", [0.0, 0.3])
@pytest.mark.parametrize("skim", [0.0, 0.5])
def test_after_a_cut_metal_may_stand_a_tenth_higher_than_it_was_planned(skim, lip):
    """Heights as numbers: the least of everything that has passed there, the cut before taken 0.1 mm higher."""
    last = last_cut(
        "kept", ("skim = 0.5", f"skim = {skim}"), ("wall_angle = 0", f"wall_angle = 0\nlip_break = {lip}")
    )
    assert last.later_cut
    work, design = last.plan.work, last.design
    assert (work.skim, work.edge, work.old_lip) == (0.0, None, None)
    before = last.next_cut.before.heights(across)
    edge = design.edge.heights(across[across > design.edge.inner])
    uncut = np.minimum(design.skimmed.heights(across), before)
    uncut[across > design.edge.inner] = np.minimum(uncut[across > design.edge.inner], edge)
    assert work.stock.surface.heights(across) == pytest.approx(uncut, abs=1e-6)
    # the old dish may be 0.2 mm shallower than stated and 0.3 mm off centre
    first = work_of(replace(design, stands=None))
    wary = np.minimum.reduce([first.stock.wary.heights(across), np.zeros_like(across), before + 0.1])
    wary[across > design.edge.inner] = np.minimum(wary[across > design.edge.inner], edge)
    assert work.stock.wary.heights(across) == pytest.approx(wary, abs=1e-6)
    assert (work.stock.wary.heights(across) >= work.stock.surface.heights(across) - 1e-9).all()


def test_a_blank_has_no_old_dish_to_be_wary_of():
    stock = resolve(edited(sample="blank-bowl")).plan.work.stock
    assert stock.wary == stock.surface


def test_a_lip_break_on_the_old_dishs_wall_is_cut_by_itself():
    """A new dish within an old one: its lip break begins on the wall of the old one."""
    found = resolve(
        edited(
            ("edge_break = 0.4", "edge_break = 0"),
            ("mouth_diameter = 68.0", "mouth_diameter = 50.0\nlip_break = 0.3"),
            ("volume_cc = 11.6", "volume_cc = 9.4"),
            ("corner_radius = 5.0", ""),
        )
    )
    lip = found.design.old_lip
    assert lip is not None
    assert found.plan.work.old_lip == lip
    assert [p.kind for p in found.plan.passes if p.kind == "break"] == ["break"]
    middle = (lip.inner + lip.outer) / 2
    assert found.finished.at(middle) == pytest.approx(lip.at(middle))
    assert found.plan.left.surface.at(middle) == pytest.approx(lip.at(middle), abs=1e-6)


# ---- the zero ----------------------------------------------------------------------------------

SEAT = "same insert, not turned, same station, seat wiped, piston to its witness mark"
FACE = "the fixture's face again"


@pytest.mark.parametrize(
    ("zero", "begins", "does", "not_said"),
    [
        ("kept", "Zero kept: ", "touch nothing off", FACE),
        (
            "noted",
            "Zero noted: ",
            f"touch {FACE} with the same feeler, set the noted zero",
            "touch nothing off",
        ),
    ],
)
def test_a_zero_that_stays_is_only_checked_on_the_finished_crown(zero, begins, does, not_said):
    last = last_cut(zero)
    mm = shown(frame_of(last))
    assert last.zero_stays
    assert [r.after for r in last.readings] == ["first"]
    what, proof = last.zero_words(mm)
    assert what.startswith(f"{begins}{SEAT}; {does}")
    assert proof.startswith("A feeler on the FINISHED crown must agree within 0.040 mm before cutting. If ")
    assert "have this cut made again with a fresh zero" in proof
    assert not_said not in what + proof
    z, x, check = last.head_touch_lines(mm)
    assert z.startswith(f"{begins}{does[:20]}")
    assert z.endswith(". Same insert, not turned, seat wiped, piston to its mark")
    assert x == "If not so: have this program made again with a fresh zero"
    assert check == last.touch_off.head_lines(mm)[2]
    every = last.touch_off.lines(mm)
    # of the touch-off only the programmed point and the check of X are left
    assert last.touch_lines(mm) == (what, proof, every[0], every[-1])


def test_a_fresh_zero_is_touched_off_on_the_finished_crown():
    last = last_cut("fresh")
    mm = shown(frame_of(last))
    assert not last.zero_stays
    what, hint = last.zero_words(mm)
    assert what == "Zero fresh: touch off anew on the FINISHED crown"
    assert hint.startswith("A kept zero would carry less error: ")
    assert hint.endswith(SEAT)
    assert last.head_touch_lines(mm) == last.touch_off.head_lines(mm)
    assert "FINISHED crown" in last.head_touch_lines(mm)[0]
    assert "Set Z 0.000 mm" in last.head_touch_lines(mm)[0]
    assert last.touch_lines(mm) == (what, hint, *last.touch_off.lines(mm))


@pytest.mark.parametrize("stage", ["whole", "first"])
def test_before_any_cut_there_is_no_zero_to_keep(stage):
    """Touched on the crown as received, which stands the skim of 0.5 mm over the finished one."""
    found = resolve(edited(('zero = "noted"', 'zero = "kept"')), stage=stage, piston=1)
    mm = shown(frame_of(found))
    assert not found.later_cut
    assert not found.zero_stays
    assert found.zero_words(mm) == ()
    assert found.touch_lines(mm) == found.touch_off.lines(mm)
    z, *_ = found.head_touch_lines(mm)
    assert "as-received crown" in z
    assert "Set Z 0.500 mm" in z


@pytest.mark.parametrize(
    ("stage", "piston", "words"),
    [
        ("whole", None, "ONE CUT WITHOUT A READING"),
        ("whole", 1, "PISTON 1 OF 4 - ONE CUT WITHOUT A READING"),
        ("first", 4, "PISTON 4 OF 4 - FIRST CUT"),
        ("last", 2, "PISTON 2 OF 4 - LAST CUT"),
    ],
)
def test_the_cut_is_named(stage, piston, words):
    assert wings.cut_words(edited(), stage, piston) == words
