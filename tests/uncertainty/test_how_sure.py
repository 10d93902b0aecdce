"""How sure a stage is: what short cuts to come leave, when another is wiser, and the errors that all cuts share."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from tests.uncertainty.test_stages import CLASS_A, FIRST, LAST, ONE, SETUP, common, start
from toolpath.errors import InputError
from toolpath.uncertainty.budget import Burette, Sensitivities, SetupUncertainty, budget
from toolpath.uncertainty.estimate import deeper
from toolpath.uncertainty.stages import (
    AS_RECEIVED,
    Form,
    Progress,
    ahead,
    another_is_wiser,
    carry_over,
    expected,
    first_target,
    last_target,
)

TARGET = 11600.0
PERFECT = Burette(25000.0, 0.0, 0.0)
ONLY_DEPTH = SetupUncertainty(insert_radius=0.0, old_dish=0.0, x_touch=0.0)
PRISM = Form(11480.0, Sensitivities(z=2000.0))


# ---- what a reading says of each error -------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "u", "slope"),
    [
        ("repeat 1", SETUP.repeat, ONE.z),
        ("x touch", SETUP.x_touch, ONE.x),
        ("insert radius", SETUP.insert_radius, ONE.insert),
        ("old dish", SETUP.old_dish, ONE.old),
        ("skim touch-off", SETUP.touch_off, -ONE.show),  # a deeper skim leaves less of the old dish
        ("burette", CLASS_A.largest_error / 3**0.5, 1.0),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_each_error_takes_its_share_of_the_surprise(name, u, slope):
    """Its mean is its covariance with the reading over the reading's variance, times the surprise."""
    variance = (
        (ONE.z * SETUP.repeat) ** 2
        + common(ONE, ONE, SETUP)
        + CLASS_A.largest_error**2 / 3
        + CLASS_A.graduation**2 / 12
    )
    piston = start().cut(FIRST, "same").read_volume(FIRST.volume + 70.0)
    assert float(piston.state.predict({name: 1.0}).mean) == pytest.approx(70.0 * slope * u * u / variance)


def test_after_the_skim_a_reading_tells_of_old_dish_and_skim():
    """What still shows is 1200 mm2 of an old dish of which nine tenths are left."""
    skimmed = start(SETUP, PERFECT).skimmed(Form(7800.0, Sensitivities(old=0.9, show=1200.0)))
    assert float(skimmed.volume().u) == pytest.approx(np.hypot(0.9 * 90.0, 1200.0 * 0.02))
    read = skimmed.read_volume(7850.0)
    assert float(read.volume().mean) == pytest.approx(7850.0)
    assert float(read.state.predict({"old dish": 1.0}).mean) > 0
    assert float(read.state.predict({"skim touch-off": 1.0}).mean) < 0
    assert read.cuts == 0


@pytest.mark.parametrize("angle", [0.0025, 0.0], ids=["set over", "no slide"])
def test_the_angle_of_a_slide_is_the_same_in_every_cut(angle):
    """Set once: what a reading finds carries over whole to a like cut with a fresh zero."""
    exact = SetupUncertainty(0.0, 0.0, touch_off=0.0, x_touch=0.0, repeat=0.0, slide_angle=angle)
    form = Form(11480.0, Sensitivities(z=2000.0, angle=40000.0))
    cut = start(exact, PERFECT).cut(form, "fresh")
    assert float(cut.volume().u) == pytest.approx(40000.0 * angle)
    assert [(line.name, line.unit) for line in budget(cut.volume())] == [("top slide angle", "rad")] * bool(
        angle
    )
    found = carry_over(cut.read_volume(11480.0 + 30.0), form, "fresh")
    assert float(found) == pytest.approx(30.0 if angle else 0.0)


def test_every_reading_has_an_error_of_its_own():
    piston = start().cut(FIRST, "same").read_volume(11500.0).read_depth(3.1).read_mouth(68.0).read_depth(3.1)
    unknowns = {q.name: q.u for q in piston.state.unknowns[-4:]}
    assert list(unknowns) == ["reading 1", "depth reading 2", "mouth reading 3", "depth reading 4"]
    assert list(unknowns.values())[1:] == [SETUP.depth_reading, SETUP.mouth_reading, SETUP.depth_reading]


def test_a_volume_without_a_burette_is_refused_with_the_table_to_add():
    with pytest.raises(InputError, match=r"^a volume was read but no burette is stated; add \[burette\]"):
        start(burette=None).cut(FIRST, "same").read_volume(11500.0)


def test_after_a_reading_the_volume_is_of_what_stands():
    """The deeper of two cuts 20 mm3 apart, of which neither is sure to be it."""
    before = start().cut(FIRST, "same")
    cut = before.cut(FIRST._replace(volume=FIRST.volume + 20.0), "fresh")
    stands = cut.as_it_stands()
    mean, u = deeper(before.volume(), cut.volume())
    assert float(stands.volume().mean) == pytest.approx(float(mean))
    assert float(stands.volume().u) == pytest.approx(float(u))
    assert float(mean) > float(cut.volume().mean) + 5.0
    left = stands.state.unknowns[-1]
    assert (left.name, left.unit) == ("volume left by cut 1", "mm3")
    assert set(stands.volume_gradient()) >= {"repeat 1", "touch-off 2", "volume left by cut 1"}


# ---- where the cuts aim and what they leave --------------------------------------------------------


@pytest.mark.parametrize("zero", ["same", "kept", "noted", "fresh"])
@pytest.mark.parametrize("surprise", [-60.0, 40.0])
def test_a_short_cut_stays_its_margin_before_the_last(zero, surprise):
    piston = start().cut(FIRST, "same").read_volume(FIRST.volume + surprise)
    margin = norm.ppf(0.995) * float(piston.cut(LAST, zero).volume().u)
    aims = [float(aim(piston, LAST, zero, TARGET)) for aim in (first_target, last_target)]
    assert aims[0] == pytest.approx(aims[1] - margin)
    assert (aims[1] - TARGET) * surprise < 0


@pytest.mark.parametrize("zeros", [("fresh", "kept"), ("same", "fresh"), ("kept", "kept"), ("noted", "same")])
@pytest.mark.parametrize("tolerance", [12.0, 30.0])
def test_a_short_cut_and_a_last_are_the_larger_of_two_normals(zeros, tolerance):
    """The depth alone errs and the burette is perfect: after its reading the last cut, aimed at the target, has
    only errors of its own. Mean by E max(0, D) of D ~ N(-m, s); chances of both at once are products."""
    extra = {"same": 0.0, "kept": 0.005, "noted": (0.005**2 + 2 * 0.01**2) ** 0.5, "fresh": 0.02}
    first, last = (2000.0 * np.hypot(0.003, extra[zero]) for zero in zeros)
    found = ahead(start(ONLY_DEPTH, PERFECT), [(PRISM, zero) for zero in zeros], TARGET, tolerance)
    short = norm.ppf(0.995) * first
    both = np.hypot(first, last)
    over = both * norm.pdf(short / both) - short * norm.sf(short / both)
    assert found.volume == pytest.approx(TARGET + over, rel=1e-9)
    below = [norm.cdf((short + d) / first) * norm.cdf(d / last) for d in (tolerance, -tolerance)]
    assert found.chance == pytest.approx(below[0] - below[1], abs=0.01)


def test_more_readings_of_the_short_cuts_leave_less():
    """n readings with a scale error e leave 1/(1/s^2 + n/e^2) of a depth error that the last cut has again."""
    scale = Burette(25000.0, 0.0, 200.0)
    s, e, last = 2000.0 * np.hypot(0.003, 0.02), 200.0 / 12**0.5, 2000.0 * np.hypot(0.003, 0.005)
    us = []
    for n in (1, 2, 4):
        found = ahead(start(ONLY_DEPTH, scale), [(PRISM, "fresh"), (PRISM, "kept")], TARGET, 50.0, readings=n)
        us.append(found.u)
        alone = (1 / (1 / s**2 + n / e**2) + last**2) ** 0.5
        # the short cut stands above the last only where both err: a few parts in a hundred of the spread
        assert found.u == pytest.approx(alone, rel=0.05)
    assert us == sorted(us, reverse=True)


def test_what_stands_counts_beside_the_cuts_to_come():
    """It was read above the target already: no cut brings it back."""
    piston = start(ONLY_DEPTH, PERFECT).cut(PRISM, "fresh").read_volume(TARGET + 50.0)
    found = ahead(piston, [(PRISM, "kept")], TARGET, 30.0)
    assert found.chance == 0.0
    assert found.volume == pytest.approx(TARGET + 50.0, abs=0.5)
    assert expected(piston, TARGET, 30.0).chance == 0.0
    assert expected(piston, TARGET + 50.0, 30.0).chance == 1.0


def test_what_is_skimmed_away_does_not_stand_beside_the_cuts():
    """A dish that held 13.0 cc as received and 9.0 cc under the new crown, cut to 11.48 cc."""
    whole = Progress.start(ONLY_DEPTH, PERFECT, Form(13000.0, AS_RECEIVED))
    assert ahead(whole, [(PRISM, "same"), (PRISM, "kept")], TARGET, 60.0).chance > 0.99
    cut = whole.cut(PRISM, "fresh")
    assert cut.as_it_stands() is cut
    assert float(cut.read_volume(11500.0).volume().mean) == pytest.approx(11500.0)


# ---- when another short cut is wiser ---------------------------------------------------------------


def lightly_cut(*, volume=10900.0, **better):
    setup = replace(SETUP, old_dish=400.0, **better)
    return start(setup).cut(FIRST._replace(volume=volume), "same").read_volume(volume + 10.0)


@pytest.mark.parametrize(
    ("better", "tolerance", "wiser"),
    [
        ({}, 80.0, True),
        ({}, 110.0, False),
        ({"touch_off": 0.01, "refit": 0.01}, 60.0, False),
        ({"refit": 0.03}, 80.0, False),
    ],
    ids=["87 to 99 %", "96 % are enough", "93.0 to 93.3 % is no gain", "a bad seat: 87 to 72 %"],
)
def test_another_short_cut_is_wiser_only_when_it_gains(better, tolerance, wiser):
    piston = lightly_cut(**better)
    said = another_is_wiser(piston, LAST, "fresh", TARGET, tolerance)
    assert (said is not None) is wiser
    if said:
        direct = ahead(piston, [(LAST, "fresh")], TARGET, tolerance).chance
        detour = ahead(piston, [(LAST, "fresh"), (LAST, "kept")], TARGET, tolerance).chance
        assert "within 0.08 cc of 11.60 cc" in said
        assert f"{direct:.0%} of cases" in said
        assert said.endswith(f"{detour:.0%}")


@pytest.mark.parametrize(("room", "wiser"), [(0.5, True), (-0.5, False)])
def test_another_short_cut_needs_room_for_it(room, wiser):
    aim = float(first_target(lightly_cut(), LAST, "fresh", TARGET))
    piston = lightly_cut(volume=aim - room)
    assert (another_is_wiser(piston, LAST, "fresh", TARGET, 80.0) is not None) is wiser


def test_without_a_burette_no_other_short_cut_is_asked_for():
    setup = replace(SETUP, old_dish=400.0)
    piston = start(setup, None).cut(FIRST._replace(volume=10900.0), "same").read_depth(2.9)
    assert ahead(piston, [(LAST, "fresh")], TARGET, 30.0).chance < 0.9
    assert another_is_wiser(piston, LAST, "fresh", TARGET, 30.0) is None
