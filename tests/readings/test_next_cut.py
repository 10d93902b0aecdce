"""Where a piston stands by its readings, and its next cut: the cases that a shop meets beside the usual one."""

import math
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from postprocessors import BUILT_IN
from toolpath.errors import InputError
from toolpath.findings import Stopped
from toolpath.geometry.chain import Chain, deeper
from toolpath.job.load import load
from toolpath.job.model import Job
from toolpath.matching.judge import judged
from toolpath.profile.design import Design, designed
from toolpath.program.frames import HAND
from toolpath.readings.depths import last_depth
from toolpath.readings.log import Reading
from toolpath.readings.next_cut import first_step, last_step
from toolpath.readings.replay import standing
from toolpath.readings.sensitivity import Model
from toolpath.recut import resolve
from toolpath.reference import folder, table
from toolpath.tool.insert import decode
from toolpath.tool.stated import insert_of
from toolpath.uncertainty.stages import Form

PUMP = (folder("samples") / "pump-engine.toml").read_text(encoding="utf-8")


def job_of(changes: dict[str, str] | None = None, text: str = PUMP) -> Job:
    """The pump engine's job with some keys changed or added, by table and key."""
    for dotted, literal in (changes or {}).items():
        place, key = dotted.split(".")
        head, body = text.split(f"[{place}]", 1)
        body, *rest = re.split(r"(?m)^(?=\[)", body, maxsplit=1)
        body = re.sub(rf"(?m)^{key} = .*\n", "", body) + f"{key} = {literal}\n"
        text = f"{head}[{place}]" + "".join([body, *rest])
    return load(
        text,
        name="job.toml",
        known_materials=frozenset(table("materials")),
        known_posts=frozenset({*BUILT_IN, HAND}),
        insert_radius=lambda designation: decode(designation).radius,
    )


def design_of(changes: dict[str, str] | None = None, text: str = PUMP) -> Design:
    job = job_of(changes, text)
    return designed(job, insert_of(job))


def received(volume: float) -> Reading:
    return Reading(1, "as-received", "burette", volume)


def cut(after: Any, volume: float, depth: float | None) -> Reading:
    return Reading(1, after, "burette", volume, cut_depth=depth)


def answers_of(design: Design, depth: float) -> Form:
    model = Model(design)
    return model.cut_form(model.deep(depth).cut, 0.0)


def depth_of(design: Design, *readings: Reading) -> float:
    return float(first_step(standing(design, readings)).design.shape.depth or 0.0)


# ---- the old dish ------------------------------------------------------------------------------


def test_a_nominal_volume_is_only_as_good_as_its_depth() -> None:
    """A rectangle of +- 0.2 mm over the mouth of 64 mm (JCGM 100, 4.3.7), not the 0.05 cc of a reading."""
    now = standing(design_of({"existing.volume_from": '"nominal"'}), ())
    assert now.old_u == pytest.approx(0.2 / math.sqrt(3) * math.pi * 32**2, rel=1e-6)


def test_a_stated_uncertainty_of_the_old_dish_stands() -> None:
    now = standing(design_of({"existing.volume_from": '"nominal"', "setup.existing_u_cc": "0.08"}), ())
    assert now.old_u == pytest.approx(80.0)


def test_readings_as_received_replace_the_stated_volume_and_may_come_late() -> None:
    design = design_of()
    early = (received(9450.0), cut("first", 11450.0, 3.0))
    late = (cut("first", 11450.0, 3.0), received(9450.0))
    assert standing(design, early).old == pytest.approx(standing(design, late).old)
    assert standing(design, (received(9450.0),)).old == pytest.approx(150.0, abs=0.1)


def test_an_old_dish_near_the_target_is_stopped_in_words() -> None:
    """The first cut would have to be shallower than none."""
    now = standing(design_of(), (received(13050.0),))
    with pytest.raises(Stopped) as caught:
        first_step(now)
    assert caught.value.finding.code == "no-short-cut"


def test_down_the_bore_the_edge_break_is_no_dish() -> None:
    """The edge break is seen whether or not a dish is cut, so the least that can be aimed at contains it."""
    changes = {
        "burette.method": '"down-the-bore"',
        "burette.piston_below_deck": "0.0",
        "crown.edge_break": "2.0",
    }
    design = design_of(changes)
    model = Model(design)
    assert model.least_seen == pytest.approx(design.skimmed_seen + design.received.edge_volume)
    assert model.depth_for(model.least_seen) == 0.0


def test_pockets_alone_are_read_as_received() -> None:
    """Without an old dish the reading sees the pockets; what they hold more is not cut once again."""
    pocket = "\n[[pocket]]\nvolume_cc = 2.0\narea_mm2 = 400\n"
    text = re.sub(r"(?s)\[existing\].*?(?=\n\[crown\])", '[existing]\nform = "none"\n' + pocket, PUMP)
    text = re.sub(r"(?m)^# \[\[pocket\]\].*\n", "", text)
    design = design_of({"setup.zero": '"fresh"'}, text)
    plain, more = standing(design, ()), standing(design, (received(2300.0),))
    assert more.old == pytest.approx(300.0, abs=0.1)
    assert plain.old == 0.0
    shallower = depth_of(design) - depth_of(design, received(2300.0))
    area = math.pi * 34.0**2
    assert shallower == pytest.approx(300.0 / area, rel=0.15)


# ---- zero --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "readings", "zero"),
    [
        ({}, (), "same"),
        ({"crown.skim": "0"}, (), "fresh"),
        ({}, (cut("skim", 7760.0, None),), "noted"),
        ({"setup.zero": '"kept"'}, (cut("skim", 7760.0, None),), "kept"),
        ({"setup.zero": '"fresh"'}, (cut("skim", 7760.0, None),), "fresh"),
        ({}, (cut("first", 11450.0, 3.0),), "noted"),
        ({"setup.zero": '"fresh"'}, (cut("first", 11450.0, 3.0),), "fresh"),
    ],
    ids=["one fixing", "no skim", "read after skim", "and kept", "and fresh", "last noted", "last fresh"],
)
def test_zero_of_the_next_cut(changes: dict[str, str], readings: tuple[Reading, ...], zero: str) -> None:
    assert standing(design_of(changes), readings).zero == zero


def test_after_a_reading_of_the_skim_the_crown_is_not_skimmed_again() -> None:
    found = resolve(job_of(), stage="first", piston=1, readings=(received(9300.0), cut("skim", 7760.0, None)))
    assert found.plan is not None
    assert found.plan.count("skim") == 0
    assert found.touch_off.skim == 0.0
    assert found.later_cut


def test_a_coarse_fresh_touch_leaves_a_good_piston_alone() -> None:
    """4 mm3 short, and the touch-off would scatter 70 mm3: no cut brings it nearer. Kept, it is cut."""
    readings = (received(9300.0), cut("first", 11550.0, 3.0), *[cut("first", 11596.0, 3.02)] * 4)
    with pytest.raises(Stopped, match="nothing is left"):
        last_step(standing(design_of({"setup.zero": '"fresh"', "setup.touch_off": "0.05"}), readings))


# ---- cuts and their readings -------------------------------------------------------------------


def test_last_needs_a_reading_after_the_first() -> None:
    with pytest.raises(InputError, match="no reading after its first cut"):
        last_step(standing(design_of(), (received(9300.0),)))


def test_a_line_written_by_hand_without_its_depth() -> None:
    """Read twice it is the same cut; what follows the last stage was cut to the last stage's depth."""
    design = design_of()
    first = depth_of(design, received(9300.0))
    twice = (received(9300.0), cut("first", 11460.0, None), cut("first", 11470.0, None))
    now = standing(design, twice)
    assert now.progress.cuts == 1
    assert now.cut_depth == pytest.approx(first, abs=2e-3)
    last = last_depth(now)
    after = standing(design, (*twice, cut("last", 11600.0, None)))
    assert after.progress.cuts == 2
    assert after.cut_depth == pytest.approx(last, abs=2e-3)


def test_many_readings_of_one_cut_narrow_it() -> None:
    design = design_of()
    us = [
        float(standing(design, (received(9300.0), *[cut("first", 11450.0, 3.0)] * n)).progress.volume().u)
        for n in (1, 2, 4)
    ]
    assert us[0] > us[1] > us[2]
    assert us[2] > LIMIT_ALONE  # the burette's own error is common to all


LIMIT_ALONE = 10.0  # mm3


def test_a_piston_left_alone_is_read_as_its_last_without_a_new_cut() -> None:
    design = design_of()
    before = (received(9300.0), cut("first", 11650.0, 3.0))
    found = judged(design, before, Reading(1, "last", "burette", 11660.0))
    assert (found.reading.cut_depth, found.verdict) == (3.0, "plausible")


def test_a_missed_cut_is_doubted() -> None:
    """200 mm3 were to go and the last reading is the first's: nobody cut."""
    design = design_of()
    first = first_step(standing(design, (received(9300.0),)))
    seen = first.expected.volume - 100.0
    before = (received(9300.0), cut("first", seen, first.design.shape.depth))
    found = judged(design, before, Reading(1, "last", "burette", seen))
    assert found.verdict == "refused"
    assert "missed cut" in found.why


def test_a_second_short_cut_is_the_deeper_of_both() -> None:
    design = design_of({"setup.zero": '"fresh"'})
    now = standing(design, (received(9300.0), cut("first", 11300.0, 2.9)))
    step = first_step(now)
    assert step.before is not None
    assert step.expected.volume > float(step.planned.volume().mean)
    assert step.expected.volume < design.target


def test_the_last_cut_starts_where_the_first_ended() -> None:
    """No air: every pass of the last stage takes metal, and what it takes is the difference of the cuts."""
    readings = (received(9300.0), cut("first", 11470.0, 3.0))
    found = resolve(job_of(), stage="last", piston=1, readings=readings)
    assert found.plan is not None
    assert found.design is not None
    assert found.next_cut is not None
    assert found.next_cut.before is not None
    stock = found.plan.work.stock.surface.volume_below()
    stands = deeper(deeper(found.design.skimmed, found.next_cut.before), found.design.edge or FLAT)
    assert stock == pytest.approx(stands.volume_below(), rel=1e-9)
    assert [one.kind for one in found.plan.passes] == ["finish"]
    assert found.plan.passes[0].bite > 0.01


FLAT = Chain.flat(0.0, 45.2)


def test_a_changed_target_keeps_the_cut_that_stands() -> None:
    readings = (received(9300.0), cut("first", 11470.0, 3.0))
    for volume in ("11.6", "11.8"):
        found = resolve(job_of({"dish.volume_cc": volume}), stage="last", piston=1, readings=readings)
        assert found.next_cut is not None
        assert found.next_cut.before is not None
        assert -found.next_cut.before.lowest == pytest.approx(3.0)
        assert found.next_cut.expected.volume == pytest.approx(float(volume) * 1000, abs=5.0)


def test_a_mouth_solved_for_the_target_is_pointed_out() -> None:
    text = re.sub(r"(?m)^mouth_diameter = 68\.0 .*\n", "depth = 3.1\n", PUMP)
    found = resolve(
        job_of(None, text), stage="last", piston=1, readings=(received(9300.0), cut("first", 11400.0, 2.9))
    )
    assert "solved-anew" in {f.code for f in found.findings}
    whole = resolve(job_of(None, text), stage="first", piston=1, readings=(received(9300.0),))
    assert "solved-anew" not in {f.code for f in whole.findings}


# ---- depth micrometer and mouth ----------------------------------------------------------------


def test_a_measured_depth_corrects_the_next_cut() -> None:
    """0.03 mm deeper than meant, kept: the last cut is solved for the volume of that shift less."""
    design = design_of({"setup.repeat": "0.05"})
    at = Reading(1, "first", "depth", 3.0, cut_depth=3.0)
    right, deep = (standing(design, (replace(at, value=d),)) for d in (3.0, 3.03))
    known = 0.05**2 / (0.05**2 + 0.01**2)  # against the micrometer's 0.01 mm
    assert last_depth(right) - last_depth(deep) == pytest.approx(0.03 * known * 2380 / 2113, rel=0.02)


def test_a_depth_micrometer_does_without_a_burette() -> None:
    """Both stages; a volume is refused, and the stated one counts as read with a burette of no name."""
    text = re.sub(r"(?s)\[burette\].*?(?=\n\[setup\])", "", PUMP)
    design = design_of({"piston.count": "1"}, text)
    assert standing(design, ()).old_u == pytest.approx(50.0)
    depth = depth_of(design)
    at = Reading(1, "first", "depth", depth + 0.01, cut_depth=depth)
    found = judged(design, (), replace(at, cut_depth=None))
    assert (found.reading.cut_depth, found.verdict) == (pytest.approx(depth), "plausible")
    assert last_step(standing(design, (at,))).expected.volume == pytest.approx(11600.0, abs=5.0)
    with pytest.raises(InputError, match=r"\[burette\]"):
        standing(design, (cut("first", 11450.0, depth),))
    with pytest.raises(InputError, match=r"\[burette\]"):
        judged(design, (at,), Reading(1, "first", "burette", 11450.0))


def bowl(mouth: float = 68.0) -> str:
    text = re.sub(r'(?m)^form = "flat" .*\n', 'form = "spherical"\n', PUMP, count=1)
    text = re.sub(r"(?m)^mouth_diameter = 68\.0 .*\n", f"mouth_diameter = {mouth}\n", text)
    return re.sub(r"(?m)^(corner_radius = 5\.0|wall_angle = 0) .*\n", "", text)


def test_the_mouth_of_a_bowl_answers_to_its_depth() -> None:
    """A cap of mouth radius a and depth h meets the crown at the angle t, tan t = a / (Rs - h)."""
    form = answers_of(design_of(None, bowl()), 6.0)
    sphere = (34.0**2 + 6.0**2) / 12.0
    assert form.mouth == pytest.approx(68.0)
    assert form.mouth_z == pytest.approx(2 * (sphere - 6.0) / 34.0)
    t = math.atan2(34.0, sphere - 6.0)
    # the surface moves along its normal by e (1 - sin t - cos t), a level distance of 1 / sin t times that
    assert form.mouth_insert == pytest.approx(2 * (1 - math.sin(t) - math.cos(t)) / math.sin(t))


def test_an_upright_wall_stays_where_its_outer_side_was_touched() -> None:
    deep = {"dish.volume_cc": "24", "dish.corner_radius": "5.0", "piston.underside_depth": "30"}
    form = answers_of(design_of(deep), 7.0)
    assert (form.mouth_z, form.mouth_insert) == pytest.approx((0.0, 0.0), abs=1e-9)
    inner = answers_of(design_of({**deep, "tool.control_point": '"face-inner"'}), 7.0)
    assert inner.mouth_insert == pytest.approx(4.0)  # 2 dR on radius


def test_the_mouth_of_a_wider_old_dish_tells_nothing_of_the_cut() -> None:
    text = bowl(50.0)
    design = design_of({"dish.volume_cc": "9.0"}, text)
    mouth = Reading(1, "first", "mouth", 63.0, cut_depth=7.0)
    volume = cut("first", 8900.0, 7.0)
    plain, told = standing(design, (volume,)), standing(design, (volume, mouth))
    assert float(told.progress.volume().mean) == pytest.approx(float(plain.progress.volume().mean))


# ---- forms -------------------------------------------------------------------------------------


@pytest.mark.parametrize("sample", ["four-valve", "tractor-pair", "blank-bowl", "pump-engine"])
def test_first_and_last_of_every_sample(sample: str) -> None:
    """Deepened, flat and spherical; points, flat, none and spherical before: the readings come true."""
    text = (folder("samples") / f"{sample}.toml").read_text(encoding="utf-8")
    design = design_of(None, text)
    first = first_step(standing(design, ()))
    assert first.expected.volume + 2 * first.expected.u < design.target
    readings = (cut("first", first.expected.volume, first.design.shape.depth),)
    last = last_step(standing(design, readings))
    assert last.expected.volume == pytest.approx(design.target, abs=5.0)
    seen = last.design.seen(last.design.finished.volume_below())
    assert seen == pytest.approx(design.target, abs=0.1)  # a reading as expected teaches no change


def points_job() -> str:
    text = re.sub(r'(?m)^form = "flat" .*\n', 'form = "points"\n', PUMP, count=1)
    text = re.sub(r"(?m)^mouth_diameter = 68\.0 .*\n", "points = [[0, 3.3], [50, 3.1], [68, 0]]\n", text)
    return re.sub(r"(?m)^(corner_radius = 5\.0|wall_angle = 0) .*\n", "", text)


def test_a_drawn_section_goes_through_both_stages() -> None:
    design = design_of(None, points_job())
    first = first_step(standing(design, (received(9300.0),)))
    readings = (received(9300.0), cut("first", first.expected.volume + 30.0, first.design.shape.depth))
    last = last_step(standing(design, readings))
    assert last.expected.volume == pytest.approx(design.target, abs=5.0)
    assert (last.design.shape.depth or 0.0) < (design.shape.depth or 0.0)


# ---- answers and speed -------------------------------------------------------------------------


def test_a_shift_of_the_path_is_not_a_deeper_dish() -> None:
    """The flat sample: 2380 mm2 inside the mouth of the shifted path less where the old bowl lies deeper,
    2113 mm2 for a deeper dish of the same mouth."""
    model = Model(design_of())
    depth = model.depth_for(model.design.target)
    assert model.cut_form(model.deep(depth).cut, 0.0).answers.z == pytest.approx(2380.0, abs=3.0)
    more, less = (model.deep(depth + d).finished.volume_below() for d in (0.01, -0.01))
    assert (more - less) / 0.02 == pytest.approx(2113.0, abs=3.0)
    r = (np.arange(40000) + 0.5) * (45.2 / 40000)
    old, new = model.received.moved(0.5).heights(r), model.deep(depth).cut.heights(r)
    lower = (new < old) & (new < 0)
    assert 2 * math.pi * float(r[lower].sum()) * (45.2 / 40000) == pytest.approx(2380.0, abs=3.0)
