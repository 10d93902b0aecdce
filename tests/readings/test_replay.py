"""From the entries of one piston's log to its cuts: made is not cut, and what was made counts as it was made."""

import math
import re
from dataclasses import replace
from typing import Any

import pytest
from scipy import stats

from tests.readings.test_next_cut import PUMP, bowl, cut, design_of, points_job, received
from toolpath.errors import InputError
from toolpath.findings import Finding, Stopped
from toolpath.profile.design import Design
from toolpath.readings.changes import old_dish
from toolpath.readings.facts import CutFacts
from toolpath.readings.log import MadeCut, Reading, Target
from toolpath.readings.next_cut import cut_at, first_step, last_step, one_cut
from toolpath.readings.replay import cuts_read, standing
from toolpath.readings.sensitivity import Model
from toolpath.readings.standing import Known

NO_BURETTE = re.sub(r"(?s)\[burette\].*?(?=\n\[setup\])", "", PUMP)
FRESH = {"setup.zero": '"fresh"', "setup.touch_off": "0.05"}


def made(
    design: Design, depth: float, stage: Any = "first", zero: Any = "same", mark: str = "A", **more: Any
) -> MadeCut:
    """What `make` logs of a cut that deep."""
    shape = design.shape._replace(depth=depth)
    section = replace(design, shape=shape).cut
    point = design.received.job.tool.control_point
    facts = CutFacts.of(stage, zero, design.skim, shape, point, design.target, old_dish(design), section)
    return MadeCut(1, facts._replace(**more), mark, "job.nc", "0" * 64)


def said(found: list[Finding], code: str) -> Finding:
    (one,) = (f for f in found if f.code == code)
    return one


# ---- which cuts were made ----------------------------------------------------------------------


def test_a_made_cut_counts_as_it_was_made_and_not_as_the_job_is_today() -> None:
    """Made 66 mm wide, 2.9 mm deep, touched fresh; today the job says 68 mm and the reading 3.0 mm."""
    then, now = design_of({"dish.mouth_diameter": "66"}), design_of()
    entry = made(then, 2.9, zero="fresh", mark="ABC")
    found = standing(now, (received(9300.0), entry, cut("first", 11400.0, 3.0)))
    (stood,) = found.cuts
    assert stood.section == entry.facts.shape.bare(then.old)
    assert (stood.facts, stood.mark) == (entry.facts, "ABC")
    assert found.cut_depth == pytest.approx(2.9)
    assert "touch-off 1" in found.progress.depth_error
    assert found.waiting == ()
    assert found.latest is not None
    assert found.latest.value == 11400.0


def test_a_make_that_no_reading_follows_waits() -> None:
    design = design_of()
    entries = (received(9300.0), made(design, 2.9, mark="A"), made(design, 3.0, mark="B"))
    found = standing(design, entries)
    assert found.cuts == ()
    assert found.waiting == entries[1:]
    assert cuts_read(entries) == ()


@pytest.mark.parametrize(
    ("mark", "depth"),
    [("A", 2.9), ("B", 3.0), ("", 3.0), ("gone", 3.0)],
    ids=["first", "second", "none", "another"],
)
def test_of_two_makes_the_one_that_is_named_was_cut_else_the_latest(mark: str, depth: float) -> None:
    design = design_of()
    reading = replace(cut("first", 11400.0, None), mark=mark)
    entries = (made(design, 2.9, mark="A"), made(design, 3.0, mark="B"), reading)
    assert standing(design, entries).cut_depth == pytest.approx(depth)
    assert [m.facts.shape.depth for m in cuts_read(entries)] == [depth]


def test_a_reading_follows_a_make_of_its_own_stage() -> None:
    """A last cut that was made already is not the first one that was read."""
    design = design_of()
    entries = (made(design, 2.9), made(design, 3.1, stage="last"), cut("first", 11400.0, None))
    assert standing(design, entries).cut_depth == pytest.approx(2.9)
    again = (*entries, made(design, 3.08, stage="last", zero="noted"), cut("last", 11600.0, None))
    found = standing(design, again)
    assert [stood.depth for stood in found.cuts] == pytest.approx([2.9, 3.08])
    assert "face touch 2" in found.progress.depth_error
    assert [m.facts.stage for m in cuts_read(again)] == ["first", "last"]
    only = (made(design, 3.1, stage="last"), cut("first", 11400.0, 2.8))
    assert standing(design, only).cut_depth == pytest.approx(2.8)
    assert cuts_read(only) == ()
    whole = (made(design, 3.1, stage="whole"), cut("last", 11600.0, None))
    assert standing(design, whole).cut_depth == pytest.approx(3.1)


def test_a_zero_that_was_noted_is_no_reading_of_a_cut() -> None:
    design = design_of()
    zero = Reading(1, "first", "zero", -0.02)
    entries = (made(design, 2.9), zero, cut("first", 11400.0, None))
    assert standing(design, entries[:2]).cuts == ()
    assert cuts_read(entries[:2]) == ()
    assert standing(design, entries).cut_depth == pytest.approx(2.9)
    assert len(cuts_read(entries)) == 1


def test_the_skim_is_the_one_that_was_cut() -> None:
    design = design_of()
    entries = (made(design, 2.9, skim=0.62), cut("first", 11400.0, None))
    assert standing(design, entries).model.design.skim == 0.62
    assert standing(design, entries[:1]).model.design.skim == 0.5


def test_a_section_that_no_lengths_draw_is_kept_with_its_make() -> None:
    """Made by points; today the job has a bowl."""
    then = design_of(None, points_job())
    entry = made(then, 2.9)
    assert entry.facts.section is not None
    found = standing(design_of(None, bowl()), (entry, cut("first", 11000.0, None)))
    assert found.cuts[0].section == entry.facts.section


def test_what_stands_is_the_deeper_of_all_cuts() -> None:
    design = design_of({"setup.zero": '"fresh"'})
    wide, narrow = (
        made(design, 2.5),
        made(design_of({"dish.mouth_diameter": "60"}), 3.1, zero="fresh", mark="B"),
    )
    found = standing(design, (wide, cut("first", 10000.0, None), narrow, cut("first", 11000.0, None)))
    stands = found.model.stands
    assert stands is not None
    assert (stands.at(31.0), stands.at(0.0)) == pytest.approx(
        (wide.facts.shape.bare(design.old).at(31.0), -3.1)
    )
    assert found.cut_depth == pytest.approx(3.1)


# ---- what the readings tell --------------------------------------------------------------------


def test_the_old_dish_is_worked_out_where_the_readings_put_it() -> None:
    """A first cut read 0.3 cc too large over a bowl that shows below its floor: the section is that of the bowl
    as it is believed, to what two rounds settle."""
    design = design_of(ONE_NOMINAL)
    found = standing(design, (cut("first", 11500.0, 2.5),))
    assert found.old > 100.0
    assert found.model.old == pytest.approx(found.old, rel=0.05)
    assert found.model.received.volume_below() == pytest.approx(9300.0 + found.model.old)


ONE_NOMINAL = {"existing.volume_from": '"nominal"', "piston.count": "1"}


def test_a_mouth_tells_of_the_x_touch_and_a_depth_of_the_zero() -> None:
    design = design_of()
    mouth = standing(design, (Reading(1, "first", "mouth", 67.9, cut_depth=3.0),)).progress
    nominal = Model(design).deep(3.0)
    assert 2 * nominal.mouth == pytest.approx(68.0)
    assert -0.05 < float(mouth.state.predict({"x touch": 1.0}).mean) < -0.03
    depth = standing(design, (Reading(1, "first", "depth", 3.02, cut_depth=3.0),)).progress
    assert float(depth.state.predict(depth.depth_error).mean) > 0.001


def test_a_reading_after_the_skim_is_of_what_the_skim_left() -> None:
    """0.5 mm off a bowl of 9.3 cc leave 7.76 cc; read as 7.90 the bowl was larger."""
    nominal = standing(design_of(), (cut("skim", 7759.7, None),))
    assert float(nominal.progress.volume().mean) == pytest.approx(7759.7, abs=1.0)
    larger = standing(design_of(), (cut("skim", 7900.0, None),))
    assert 100.0 < larger.old < 145.0
    assert larger.skim_read


@pytest.mark.parametrize("method", ["mass", "height"])
def test_a_mass_or_a_height_tells_nothing_of_the_dish(method: Any) -> None:
    before = (received(9300.0), cut("first", 11400.0, 3.0))
    now = standing(design_of(), before)
    then = standing(design_of(), (*before, Reading(1, "first", method, 40.0, cut_depth=3.0)))
    assert float(then.progress.volume().mean) == float(now.progress.volume().mean)
    assert float(then.progress.volume().u) == float(now.progress.volume().u)


def test_readings_that_make_no_dish_name_the_way_back() -> None:
    with pytest.raises(
        InputError, match=r"^the readings of this piston make no dish \(.*\); .*reading --undo$"
    ):
        standing(design_of(), (received(200000.0), cut("first", 210000.0, 3.0)))


# ---- what is said beforehand -------------------------------------------------------------------


def test_a_piston_that_was_cut_is_not_for_one_cut() -> None:
    with pytest.raises(Stopped) as caught:
        cut_at("whole", design_of(), (cut("first", 11400.0, 3.0),), None)
    finding = caught.value.finding
    assert (finding.severity, finding.code) == ("refused", "already-cut")
    assert finding.what == "this piston has been cut already: one cut without a reading is not for it"
    assert finding.advice == "make its next cut with --stage next"


def test_over_a_cut_of_another_skim_none_can_be_worked_out() -> None:
    """Skim and programmed point both differ; each is named, the way back is that of the first."""
    design = design_of()
    entry = made(design_of({"existing.volume_cc": "9.1"}), 2.9, control_point="face-inner")
    with pytest.raises(Stopped) as caught:
        cut_at("last", design, (entry, cut("first", 11400.0, None)), None)
    finding = caught.value.finding
    assert (finding.severity, finding.code) == ("refused", "job-changed")
    assert [part.split()[0] for part in finding.what.split("; ")] == ["existing", "tool.control_point"]
    assert finding.advice.startswith("put it back to what was cut")


def test_a_changed_form_is_told_and_only_that_of_the_latest_cut() -> None:
    then, design = design_of({"dish.mouth_diameter": "66"}), design_of()
    entries = (made(then, 2.4), cut("first", 9900.0, None))
    _, _, found = cut_at("last", design, entries, None)
    assert said(found, "job-changed").what.startswith("dish.mouth_diameter was 66.000 mm")
    again = (*entries, made(design, 2.6, zero="noted", mark="B"), cut("first", 10740.0, None))
    _, _, found = cut_at("last", design, again, None)
    assert "job-changed" not in [f.code for f in found]


@pytest.mark.parametrize("volume", [9450.0, 9200.0])
def test_one_cut_is_solved_over_the_old_dish_as_it_was_read(volume: float) -> None:
    design = design_of()
    found, step, _ = cut_at("whole", design, (received(volume),), None)
    assert step is None
    assert found.received.section.volume_below() == pytest.approx(volume, abs=1.0)
    assert found.seen(found.finished.volume_below()) == pytest.approx(11600.0)
    plain, _, _ = cut_at("whole", design, (), None)
    assert plain.received.section is design.received.section


def test_a_first_cut_is_solved_over_what_the_others_tell() -> None:
    others = Known(others=(9495.0, 9500.0, 9505.0, 9500.0))
    found, step, _ = cut_at("first", design_of(), (), others)
    assert found.received.section.volume_below() == pytest.approx(9500.0, abs=1.0)
    assert step is not None
    plain, _, _ = cut_at("first", design_of(), (), None)
    assert (found.shape.depth or 0.0) > (plain.shape.depth or 0.0)  # surer, so nearer the target


def test_another_programmed_point_is_only_told_where_the_zero_is_touched_anew() -> None:
    entries = (made(design_of(FRESH), 2.9, control_point="face-inner"), cut("first", 11200.0, None))
    _, _, found = cut_at("last", design_of(FRESH), entries, None)
    assert said(found, "job-changed").severity == "warning"


def test_a_second_short_cut_tells_of_the_changed_job_and_of_the_zeros() -> None:
    then = design_of({"dish.mouth_diameter": "66"})
    _, _, found = cut_at("first", design_of(), (made(then, 2.4), cut("first", 9900.0, None)), None)
    assert {"job-changed", "zero-gains"} <= {f.code for f in found}


def test_a_target_that_was_taken_is_aimed_at() -> None:
    history = (Target(1, 11800.0, "cc"), received(9300.0), cut("first", 11450.0, 3.0))
    found, step, _ = cut_at("last", design_of(), history, None)
    assert step is not None
    assert (found.target, step.expected.volume) == (11800.0, pytest.approx(11800.0, abs=5.0))
    assert step.design is found
    assert step.planned.cuts == 2
    assert step.zero == "noted"
    assert "face touch 2" in step.planned.depth_error


def test_the_first_stage_is_made_without_a_burette() -> None:
    """A depth micrometer does for it; what only a burette could reach is not spoken of."""
    for stage, cuts in (("first", 1), ("whole", 0)):
        _, step, found = cut_at(stage, design_of({"piston.count": "1"}, NO_BURETTE), (), None)  # type: ignore[arg-type]
        assert found == []
        assert (0 if step is None else step.planned.cuts) == cuts


def test_the_first_stage_tells_what_each_zero_gains() -> None:
    _, step, found = cut_at("first", design_of(), (), None)
    note = said(found, "zero-gains")
    assert note.severity == "note"
    assert note.what.startswith("zero of the last cut noted; the finished volume is then known to (k = 2)")
    assert step is not None
    assert step.planned.cuts == 1
    _, _, found = cut_at("whole", design_of(), (), None)
    assert found == []


def test_a_tolerance_out_of_reach_is_told_with_what_would_reach_it() -> None:
    """Fresh touches of 0.05 mm on 2380 mm2 are 0.12 cc; a normal value of that u is within 1.96 u in 95 %."""
    _, _, found = cut_at("whole", design_of(FRESH), (), None)
    told = said(found, "tolerance-out-of-reach")
    u = 2380.0 * math.hypot(0.05, 0.003)
    assert (told.severity, told.unit, told.limit) == ("warning", "cc", 0.1)
    assert told.value == pytest.approx(1.96 * u / 1000.0, rel=0.05)
    numbers = re.fullmatch(
        r"burette, refit and area put the tolerance out of reach: kept in (\d+)% of cases; "
        r"([0-9.]+) cc would be kept in 95%",
        told.what,
    )
    assert numbers is not None
    assert int(numbers[1]) == pytest.approx(100 * (1 - 2 * stats.norm.sf(100.0 / u)), abs=2)
    assert numbers[2] == f"{told.value:.3f}"
    remedies = told.advice.split("; or ")
    assert [r.split()[0] for r in remedies] == ["keep", "note", "touch"]


def test_a_tolerance_that_nothing_reaches_is_to_be_larger() -> None:
    _, _, found = cut_at("whole", design_of({"dish.tolerance_cc": "0.002"}), (), None)
    assert said(found, "tolerance-out-of-reach").advice == "allow a larger dish.tolerance_cc"


def test_what_the_set_tells_makes_a_tolerance_easier_to_reach() -> None:
    """The old dish of which others were read is known before the first cut; less is left for the last."""
    tight = design_of({"dish.tolerance_cc": "0.075"})
    chances = []
    for others in ((), (9295.0, 9300.0, 9305.0, 9300.0, 9300.0)):
        _, _, found = cut_at("whole", tight, (), Known(others=others))
        (told,) = (f for f in found if f.code == "tolerance-out-of-reach")
        chances.append(told.value)
    assert chances[1] <= chances[0]


@pytest.mark.parametrize(("history", "tolerance"), [((), "0.1"), ((9300.0,), "0.05"), ((9300.0,), "0.08")])
def test_one_cut_without_a_reading_is_as_sure_as_its_volume(
    history: tuple[float, ...], tolerance: str
) -> None:
    """Aimed at the target, its chance is that of a normal value of the u that is told."""
    design = design_of({"dish.tolerance_cc": tolerance})
    (told,) = one_cut(design, [received(v) for v in history], None)
    assert (told.severity, told.code) == ("warning", "one-cut-unsure")
    numbers = re.fullmatch(
        r"one cut without a reading keeps the tolerance in (\d+)% of cases: its volume is known to "
        r"\+- ([0-9.]+) cc \(k = 2\)",
        told.what,
    )
    assert numbers is not None
    percent, wide = int(numbers[1]), float(numbers[2])
    assert percent == pytest.approx(100 * (1 - 2 * stats.norm.sf(2 * float(tolerance) / wide)), abs=3.5)
    assert wide < (0.3 if history else 0.4)
    assert told.advice == "cut it with --stage first, read it, then --stage last"


def test_one_cut_that_keeps_the_tolerance_or_has_no_burette_is_not_spoken_of() -> None:
    assert one_cut(design_of({"dish.tolerance_cc": "2.0"}), (), None) == []
    assert one_cut(design_of({"piston.count": "1"}, NO_BURETTE), (), None) == []


def test_others_that_were_read_make_one_cut_surer() -> None:
    others = Known(others=(9295.0, 9300.0, 9305.0, 9300.0, 9300.0))
    tight = design_of({"dish.tolerance_cc": "0.05"})
    chance = [int(re.findall(r"in (\d+)%", one_cut(tight, (), known)[0].what)[0]) for known in (None, others)]
    assert chance[1] > chance[0] + 5


# ---- the steps ---------------------------------------------------------------------------------


def test_a_further_short_cut_is_proposed_where_the_last_is_unsure() -> None:
    now = standing(design_of(FRESH), (received(9300.0), cut("first", 10600.0, 2.6)))
    step = last_step(now)
    (told,) = step.findings
    assert (told.severity, told.code) == ("warning", "short-cut-wiser")
    assert "another short cut, read and then corrected with the zero kept" in told.what
    assert told.advice == "make --stage first once more"
    assert (step.zero, step.planned.cuts) == ("fresh", 2)
    assert step.before is not None


def test_the_first_step_is_planned_over_what_is_believed() -> None:
    now = standing(design_of(), (received(9450.0),))
    step = first_step(now)
    assert (step.before, step.zero, step.findings) == (None, "same", ())
    assert set(step.planned.depth_error) == {"repeat 1"}
    assert step.planned.cuts == 1
    # short of the target by the normal quantile of 99.5 % at least, and by what the last cut needs to cut
    assert (11600.0 - step.expected.volume) / step.expected.u > 2.5
    assert step.expected.volume == pytest.approx(float(step.planned.volume().mean))


@pytest.mark.parametrize(("taken", "refused"), [(11800.0, True), (11600.0, False), (11600.2, False)])
def test_one_cut_without_a_reading_does_not_pass_over_a_target_that_the_set_has_taken(taken, refused):
    history = (Target(1, taken, "cc"), received(9300.0))
    if not refused:
        assert cut_at("whole", design_of(), history, None)[1] is None
        return
    with pytest.raises(Stopped) as told:
        cut_at("whole", design_of(), history, None)
    assert told.value.finding.code == "target-taken"
    for words in ("11.800 cc", "11.600 cc", "--stage first"):
        assert words in told.value.finding.line()
