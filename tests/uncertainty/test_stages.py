"""Carry-over against the closed form, the perfect and the useless burette, and where the cuts aim."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from toolpath.errors import InputError
from toolpath.uncertainty.budget import Burette, Sensitivities, SetupUncertainty, budget
from toolpath.uncertainty.reach import ComingCuts, reach, what_the_zero_gains, widths
from toolpath.uncertainty.stages import (
    AS_RECEIVED,
    OVERSHOOT,
    QUANTILE,
    Form,
    Progress,
    ahead,
    another_is_wiser,
    carry_over,
    expected,
    first_target,
    last_target,
)

SETUP = SetupUncertainty(insert_radius=0.0072, old_dish=90.0)
CLASS_A = Burette(25000.0, 30.0, 50.0, name="25 cc class A")  # ISO 385:2005, mm3
RECEIVED = Form(9300.0, AS_RECEIVED)
ONE = Sensitivities(z=2300.0, x=640.0, insert=-370.0, old=0.6, show=1200.0)
TWO = Sensitivities(z=2380.0, x=660.0, insert=-375.0, old=0.55, show=1150.0)
FIRST, LAST = Form(11480.0, ONE, depth=3.10, mouth=68.0), Form(11600.0, TWO, depth=3.15, mouth=68.0)


def start(setup=SETUP, burette=CLASS_A):
    return Progress.start(setup, burette, RECEIVED)


def depth_variance(zero, setup):
    """u_D1 squared: one touch-off and fixing, refit, own touch-off."""
    extra = {"same": 0.0, "kept": setup.refit, "fresh": setup.touch_off}[zero]
    return setup.repeat**2 + extra**2


def common(one, two, setup):
    """g1' U g2 over x, radius, old dish and the skim's touch-off."""
    return (
        one.x * two.x * setup.x_touch**2
        + one.insert * two.insert * setup.insert_radius**2
        + one.old * two.old * setup.old_dish**2
        + one.show * two.show * setup.touch_off**2
    )


@pytest.mark.parametrize("first_zero", ["same", "kept", "fresh"])
@pytest.mark.parametrize("last_zero", ["kept", "fresh"])
@pytest.mark.parametrize("burette", [CLASS_A, Burette(50000.0, 100.0, 100.0), replace(CLASS_A, fills=3)])
def test_carry_over_is_the_closed_form(first_zero, last_zero, burette):
    y1 = 73.0
    piston = start(burette=burette).cut(FIRST, first_zero).read_volume(FIRST.volume + y1)
    u_depth2 = depth_variance(first_zero, SETUP)
    u_b2 = (burette.fills * burette.largest_error) ** 2 / 3
    u_e2 = burette.fills * burette.graduation**2 / 12
    kept = ONE.z * TWO.z * u_depth2 if last_zero == "kept" else 0.0
    share = (kept + common(ONE, TWO, SETUP)) / (ONE.z**2 * u_depth2 + common(ONE, ONE, SETUP) + u_b2 + u_e2)
    assert float(carry_over(piston, LAST, last_zero)) == pytest.approx(share * y1, rel=1e-9)
    assert float(last_target(piston, LAST, last_zero, 11600.0)) == pytest.approx(11600.0 - share * y1)


@pytest.mark.parametrize(
    ("zero", "rest"),
    [("kept", 0.005), ("noted", (0.005**2 + 2 * 0.01**2) ** 0.5), ("fresh", 0.02)],
)
def test_perfect_burette_leaves_only_what_came_after(zero, rest):
    """Same section twice: all of the surprise carries over when kept; u is then seat and repeat alone."""
    perfect = Burette(25000.0, 0.0, 0.0)
    only_depth = SetupUncertainty(insert_radius=0.0, old_dish=0.0, x_touch=0.0)
    form = Form(11480.0, Sensitivities(z=2380.0))
    piston = start(only_depth, perfect).cut(form, "fresh").read_volume(11480.0 + 50.0)
    wanted = 0.0 if zero == "fresh" else 50.0
    assert float(carry_over(piston, form, zero)) == pytest.approx(wanted)
    u = float(piston.cut(form, zero).volume().u)
    assert u == pytest.approx(2380.0 * np.hypot(rest, 0.003))


@pytest.mark.parametrize("zero", ["kept", "fresh"])
def test_useless_burette_changes_nothing(zero):
    useless = Burette(25000.0, 1e9, 50.0)
    piston = start(burette=useless).cut(FIRST, "same").read_volume(FIRST.volume + 500.0)
    assert float(carry_over(piston, LAST, zero)) == pytest.approx(0.0, abs=1e-6)
    unread = start(burette=useless).cut(FIRST, "same").cut(LAST, zero).volume()
    assert float(piston.cut(LAST, zero).volume().u) == pytest.approx(float(unread.u))


def test_first_target_leaves_half_a_percent():
    """All parts normal: scipy's tail beyond the target is 0.5 %."""
    setup = replace(SETUP, stated=frozenset({"insert_radius"}))
    aim = float(first_target(start(setup), FIRST, "same", 11600.0))
    u = np.sqrt(ONE.z**2 * depth_variance("same", setup) + common(ONE, ONE, setup))
    assert stats.norm.sf(11600.0, aim, u) == pytest.approx(0.005)


def test_reading_as_received_makes_the_old_dish_known():
    unread, read = start(), start().read_volume(9340.0)
    aims = [float(first_target(p, FIRST, "same", 11600.0)) for p in (unread, read)]
    u_b, u_e = 30.0 / 3**0.5, 50.0 / 12**0.5
    share = 90.0**2 / (90.0**2 + u_b**2 + u_e**2)
    assert float(read.cut(FIRST, "same").volume().mean) == pytest.approx(11480.0 + 0.6 * share * 40.0)
    assert aims[1] + 0.6 * share * 40.0 > aims[0]  # the margin became smaller


def test_the_same_burette_does_not_cancel_its_own_error():
    """Many readings tell everything but the calibration, which they share."""
    piston = start().cut(FIRST, "same")
    for _ in range(400):
        piston = piston.read_volume(FIRST.volume)
    # what is left is the calibration as the prior of 67 mm3 shrinks it: 1/u2 = 1/67.3^2 + 1/17.3^2
    assert float(piston.volume().u) == pytest.approx(16.8, abs=0.15)


def test_depth_and_mouth_readings_find_their_own_error():
    exact = replace(SETUP, depth_reading=0.0, mouth_reading=0.0)
    piston = start(exact).cut(FIRST, "fresh").read_depth(3.13).read_mouth(68.08)
    assert float(piston.state.predict(piston.depth_error).mean) == pytest.approx(0.03)
    assert float(piston.state.predict({"x touch": 1.0}).mean) == pytest.approx(0.04)
    assert float(carry_over(piston, LAST, "kept")) == pytest.approx(TWO.z * 0.03 + TWO.x * 0.04)
    assert float(carry_over(piston, LAST, "fresh")) == pytest.approx(TWO.x * 0.04)


def test_readings_failure():
    with pytest.raises(InputError, match="no burette is stated; add"):
        start(burette=None).read_volume(9300.0)
    with pytest.raises(InputError, match=r"^a depth was read before the dish was cut; read it after"):
        start().read_depth(3.0)
    with pytest.raises(InputError, match=r"^a mouth was read before the dish was cut; read it after"):
        start().read_mouth(68.0)


def test_budget_is_sorted_and_adds_up():
    volume = start().cut(FIRST, "same").volume()
    lines = budget(volume)
    parts = [line.part for line in lines]
    assert parts == sorted(parts, reverse=True)
    assert sum(line.share for line in lines) == pytest.approx(1.0)
    assert np.sqrt(sum(p * p for p in parts)) == pytest.approx(float(volume.u))
    assert lines[0].name == "old dish"
    assert lines[0].line() == "old dish: 0.0540 cc (64%), from 0.0900 cc; the old dish's volume as given"
    assert [line.name for line in lines] == [
        "old dish",
        "x touch",
        "skim touch-off",
        "repeat 1",
        "insert radius",
    ]


def test_budget_says_what_was_stated():
    setup = replace(SETUP, stated=frozenset({"x_touch"}))
    sources = {line.name: line.source for line in budget(start(setup).cut(FIRST, "same").volume())}
    assert sources["x touch"] == "stated: x_touch"
    assert sources["repeat 1"] == "default; common practice, no source"


@pytest.mark.parametrize("field", ["touch_off", "refit", "old_dish", "face_touch"])
def test_setup_failure(field):
    with pytest.raises(ValueError, match=f"standard uncertainty {field} is -1.0; it must be 0 or more"):
        replace(SETUP, **{field: -1.0})


def test_burette_failure():
    with pytest.raises(ValueError, match="and 0 fills holds nothing"):
        Burette(25000.0, 30.0, 50.0, fills=0)
    with pytest.raises(ValueError, match="cannot be; all must be 0 or more"):
        Burette(25000.0, -30.0, 50.0)


def test_fills():
    assert [CLASS_A.fills_for(v) for v in (1.0, 25000.0, 25001.0, 60000.0)] == [1, 1, 2, 3]
    two = replace(CLASS_A, fills=2)
    assert two.calibration().u == pytest.approx(2 * 30.0 / 3**0.5)  # the same error twice
    assert two.scale_reading(1).u == pytest.approx(50.0 / 12**0.5 * 2**0.5)  # two independent ones


PLAN = ComingCuts(RECEIVED, FIRST, LAST, "same", "kept", 11600.0, 100.0)


def test_a_good_shop_reaches_the_tolerance():
    judged = reach(PLAN, SETUP, CLASS_A)
    assert judged.in_reach
    assert judged.remedies == ()
    assert judged.tolerance < 100.0


def test_fresh_zero_is_out_of_reach_and_what_would_reach_it():
    judged = reach(PLAN._replace(last_zero="fresh", tolerance=70.0), SETUP, CLASS_A)
    assert not judged.in_reach
    assert judged.tolerance == pytest.approx(1.96 * 51, rel=0.1)
    assert judged.remedies[0].startswith("keep the zero for the last cut")
    assert judged.remedies[-1].startswith("touch off to 0.0")
    better = float(judged.remedies[-1].split()[3])
    reached = reach(
        PLAN._replace(last_zero="fresh", tolerance=70.0), replace(SETUP, touch_off=better), CLASS_A
    )
    assert reached.chance == pytest.approx(0.95, abs=0.005)


def test_a_coarse_burette_is_named_and_a_better_one_proposed():
    coarse = Burette(100000.0, 200.0, 200.0, name="100 cc class B")
    judged = reach(PLAN._replace(tolerance=80.0), replace(SETUP, old_dish=250.0), coarse, (CLASS_A,))
    assert not judged.in_reach
    assert "read with the burette 25 cc class A" in judged.remedies


def test_hopeless_tolerance_has_no_remedy_but_a_number():
    judged = reach(PLAN._replace(tolerance=5.0), SETUP, CLASS_A)
    assert not judged.in_reach
    assert judged.remedies == ()
    assert 30.0 < judged.tolerance < 100.0


def test_another_short_cut_is_wiser_when_the_touch_is_fresh():
    setup = replace(SETUP, old_dish=400.0)
    piston = start(setup).cut(FIRST._replace(volume=10900.0), "same").read_volume(10910.0)
    said = another_is_wiser(piston, LAST, "fresh", 11600.0, 80.0)
    assert said is not None
    assert said.startswith("the last cut alone ends within 0.08 cc of 11.60 cc in 8")
    assert another_is_wiser(piston, LAST, "kept", 11600.0, 100.0) is None


def test_expected_after_a_piston_came_out_on_target():
    piston = start().cut(FIRST, "same").read_volume(11605.0)
    left = expected(piston, 11600.0, 100.0)
    low, high = left.interval
    assert low < left.volume < high
    assert left.volume == pytest.approx(11590.0, abs=20.0)
    assert left.chance > 0.99


def test_expected_after_the_last_cut_is_the_target():
    piston = start().cut(FIRST, "same").read_volume(11500.0)
    aimed = LAST._replace(volume=float(last_target(piston, LAST, "kept", 11600.0)))
    planned = piston.cut(aimed, "kept")
    left = expected(piston, 11600.0, 100.0, planned)
    assert left.volume == pytest.approx(11600.0, abs=0.5)
    assert left.u == pytest.approx(float(planned.volume().u), rel=0.02)
    assert left.chance == pytest.approx(ahead(piston, [(LAST, "kept")], 11600.0, 100.0).chance, abs=1e-9)


def test_unknowns_are_all_apart():
    piston = start().cut(FIRST, "fresh").read_volume(11500.0).cut(LAST, "kept").read_volume(11590.0)
    names = [q.name for q in piston.state.unknowns]
    assert names == [
        *("skim touch-off", "x touch", "insert radius", "old dish", "burette"),
        *("repeat 1", "touch-off 1", "reading 1", "repeat 2", "refit 2", "reading 2"),
    ]


def test_unknowns_of_a_noted_zero():
    """Refit and repeat as with a kept zero, and one face touch for the two whose difference is taken up."""
    piston = start().cut(FIRST, "same").read_volume(11500.0).cut(LAST, "noted")
    new = piston.state.unknowns[-3:]
    assert [q.name for q in new] == ["repeat 2", "refit 2", "face touch 2"]
    assert [q.u for q in new] == pytest.approx([0.003, 0.005, 0.01 * 2**0.5])
    assert set(piston.depth_error) == {"repeat 1", "repeat 2", "refit 2", "face touch 2"}


def test_a_face_touch_without_error_is_a_kept_zero():
    exact = replace(SETUP, face_touch=0.0)
    piston = start(exact).cut(FIRST, "same").read_volume(11530.0)
    kept, noted = (piston.cut(LAST, zero).volume() for zero in ("kept", "noted"))
    assert float(noted.mean) == pytest.approx(float(kept.mean))
    assert float(noted.u) == pytest.approx(float(kept.u))


def test_what_stands_of_the_cut_before_keeps_its_own_error():
    """A ring of 900 mm2 stays from the cut before: its volume goes with that cut's depth, the rest with the
    new one's. With both fresh the errors are apart, and the variance is the sum (JCGM 100, 5.1.2)."""
    setup = replace(SETUP, insert_radius=0.0, x_touch=0.0, old_dish=0.0)
    over = Form(11600.0, Sensitivities(z=1500.0, stand=900.0))
    apart = start(setup).cut(FIRST, "fresh").cut(over, "fresh")
    u_depth = np.hypot(setup.touch_off, setup.repeat)
    assert float(apart.volume().u) == pytest.approx(np.hypot(1500.0 * u_depth, 900.0 * u_depth))
    # with the zero kept the first cut's error is in both and the same names are added up
    kept = start(setup).cut(FIRST, "fresh").cut(over, "kept")
    gradient = kept.volume_gradient()
    assert gradient["touch-off 1"] == gradient["repeat 1"] == pytest.approx(2400.0)
    assert gradient["refit 2"] == gradient["repeat 2"] == pytest.approx(1500.0)


def test_a_reading_of_the_standing_cut_tells_of_what_stands():
    perfect = Burette(25000.0, 0.0, 0.0)
    only_depth = SetupUncertainty(insert_radius=0.0, old_dish=0.0, x_touch=0.0)
    first = Form(11480.0, Sensitivities(z=2000.0))
    over = Form(11600.0, Sensitivities(z=1500.0, stand=900.0))
    piston = start(only_depth, perfect).cut(first, "fresh").read_volume(11480.0 + 40.0).cut(over, "fresh")
    assert float(piston.volume().mean) == pytest.approx(11600.0 + 900.0 * 0.02)


def test_the_cut_before_is_the_one_before_the_last():
    piston = start().cut(FIRST, "fresh").cut(LAST, "fresh").cut(LAST, "kept")
    assert set(piston.error_before) == {"touch-off 2", "repeat 2"}


def test_nothing_stands_before_the_first_cut():
    piston = start().cut(Form(11480.0, Sensitivities(z=2000.0, stand=900.0)), "fresh")
    assert piston.volume_gradient()["touch-off 1"] == 2000.0


def test_what_each_zero_gains():
    """Widest fresh; with a face that repeats without error noted is kept."""
    found = widths(PLAN, SETUP, CLASS_A)
    assert list(found) == ["fresh", "noted", "kept"]
    assert found["fresh"] > found["noted"] > found["kept"]
    exact = widths(PLAN, replace(SETUP, face_touch=0.0), CLASS_A)
    assert exact["noted"] == pytest.approx(exact["kept"])
    coarse = PLAN._replace(last_zero="noted")
    assert widths(coarse, SETUP, CLASS_A) == found
    planned = ahead(start(), [(FIRST, "same"), (LAST, "kept")], 11600.0, 100.0)
    assert found["kept"] == pytest.approx(2 * planned.u)
    said = what_the_zero_gains(coarse, SETUP, CLASS_A)
    assert said.startswith("zero of the last cut noted; the finished volume is then known to (k = 2): +-0.1")
    assert said.endswith(f"+-{found['noted'] / 1000:.3f} cc noted, +-{found['kept'] / 1000:.3f} cc kept")


def test_a_noted_zero_is_proposed_and_a_better_touch_of_the_face():
    setup = replace(SETUP, face_touch=0.004)
    fresh = reach(PLAN._replace(last_zero="fresh", tolerance=70.0), setup, CLASS_A)
    assert any(r.startswith("note each piston's zero against the fixture's face") for r in fresh.remedies)
    noted = reach(PLAN._replace(last_zero="noted", tolerance=70.0), SETUP, CLASS_A)
    assert any(r.startswith("touch the fixture's face to 0.0") for r in noted.remedies)


def test_quantile_belongs_to_the_chance_to_overshoot():
    from scipy.stats import norm

    assert norm.ppf(1 - OVERSHOOT) == pytest.approx(QUANTILE, rel=1e-12)


def test_a_cut_that_came_out_too_high_is_not_read_as_deep():
    """Touched fresh 0.001 mm deeper than the first cut, and the reading has not risen: the second cut has hardly
    touched metal, its zero may lie anywhere above, and a last cut with that zero kept is no better known."""
    higher = FIRST._replace(volume=FIRST.volume + 2.0, depth=FIRST.depth + 0.001)
    piston = start().cut(FIRST, "same").read_volume(11480.0).cut(higher, "fresh")
    read = piston.read_volume(11480.0)
    alone = piston._replace(before={}).read_volume(11480.0)
    depth = [float(p.state.predict(p.depth_error).mean) for p in (read, alone)]
    u = [float(p.cut(LAST, "kept").volume().u) for p in (read, alone)]
    assert depth[0] < depth[1] - 0.004
    assert u[0] > 1.3 * u[1]
    assert "volume left by cut 1" in {line.name for line in budget(read.cut(LAST, "kept").volume())}


@pytest.mark.parametrize("what", ["depth", "mouth"])
def test_a_length_is_read_of_what_stands(what):
    """The first cut lies 0.2 mm deeper than the second: a length tells of the first alone."""
    deep, high = FIRST._replace(depth=3.3, mouth=70.0), LAST._replace(depth=3.1, mouth=68.0)
    before = start().cut(deep, "fresh").cut(high, "fresh")
    after = before.read_depth(3.33) if what == "depth" else before.read_mouth(70.06)
    assert float(after.state.predict({"touch-off 2": 1.0}).mean) == pytest.approx(0.0, abs=1e-6)
    told = {"touch-off 1": 1.0} if what == "depth" else {"x touch": 1.0}
    assert 0.02 < float(after.state.predict(told).mean) < 0.03  # as far as the measuring can be trusted


def test_what_stands_is_worked_out_once():
    """Two readings of one cut share what the line leaves; a cut far deeper leaves nothing."""
    near = FIRST._replace(volume=FIRST.volume + 20.0)
    once = start().cut(FIRST, "same").cut(near, "fresh").as_it_stands()
    assert once.as_it_stands() is once
    names = [q.name for q in once.read_volume(11500.0).read_volume(11510.0).state.unknowns]
    assert names.count("volume left by cut 1") == 1
    far = start().cut(FIRST, "same").cut(LAST._replace(volume=13000.0), "kept").as_it_stands()
    assert "volume left by cut 1" not in [q.name for q in far.state.unknowns]
