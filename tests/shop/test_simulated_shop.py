"""Ten thousand pistons a shape, cut with true errors and read through the same functions as the commands.

What comes out must keep what was promised: how often the first cut overshoots, how near the last one ends,
whether the stated interval and chance are true. Next to it the same shop ignoring its readings.
"""

from functools import lru_cache

import numpy as np
import pytest

from tests.shop.simulated import SET, SHAPES, Shape, run, share
from toolpath.uncertainty.budget import Burette, SetupUncertainty
from toolpath.uncertainty.stages import AS_RECEIVED, Form, Progress, ahead

CLASS_A = Burette(25000.0, 30.0, 50.0)  # 25 mL / 0.05, +-0.03: ISO 385:2005 class A
CLASS_B = Burette(25000.0, 100.0, 100.0)  # 25 mL / 0.1, +-0.1: class B
TWO_FILLS = Burette(25000.0, 30.0, 50.0, fills=2)
ZEROS = [("same", "kept"), ("fresh", "kept"), ("same", "fresh"), ("fresh", "fresh")]
TOLERANCE = 100.0

all_shapes = pytest.mark.parametrize("shape", SHAPES, ids=lambda s: s.name)


def setup(old_dish=40.0, touch_off=0.02):
    return SetupUncertainty(insert_radius=0.0125 / 3**0.5, old_dish=old_dish, touch_off=touch_off)


@lru_cache(maxsize=64)
def shop(shape, zeros, burette=CLASS_A, again=False, **how):
    return run(shape, setup(**how), burette, *zeros, again=again)


@lru_cache(maxsize=64)
def told(shape, zeros, burette=CLASS_A, **how):
    """The chance to end within the tolerance, as said beforehand."""
    result = shop(shape, zeros, burette, **how)
    start = Progress.start(setup(**how), burette, Form(shape.old_volume, AS_RECEIVED))
    cuts = [(result.first_form, zeros[0]), (result.last, zeros[1])]
    return ahead(start, cuts, shape.target, TOLERANCE).chance


def within(shape, result):
    return share(np.abs(result.final - shape.target) <= TOLERANCE)


@all_shapes
@pytest.mark.parametrize("first_zero", ["same", "fresh"])
@pytest.mark.parametrize("old_dish", [40.0, 250.0])
def test_first_cut_overshoots_in_half_a_percent_at_most(shape, first_zero, old_dish):
    found, error = share(shop(shape, (first_zero, "kept"), old_dish=old_dish).first > shape.target)
    assert found <= 0.005 + 2 * error


@all_shapes
def test_first_cut_is_not_needlessly_shy(shape):
    found, error = share(shop(shape, ("same", "kept")).first > shape.target)
    assert found >= 0.005 - 3 * error


@all_shapes
@pytest.mark.parametrize("first_zero", ["same", "fresh"])
def test_good_shop_ends_within_a_tenth(shape, first_zero):
    """Class A 25 mL / 0.05, refit 0.005 mm, area up to 3.5 cc/mm, zero kept."""
    result = shop(shape, (first_zero, "kept"))
    assert within(shape, result)[0] >= 0.99
    sets = result.final.reshape(-1, SET)
    assert np.mean(np.ptp(sets, axis=1) < 100.0) >= 0.95


@all_shapes
def test_a_fresh_touch_as_good_as_a_refit_does_the_same(shape):
    result = shop(shape, ("fresh", "fresh"), touch_off=0.005)
    assert within(shape, result)[0] >= 0.99
    assert np.mean(np.ptp(result.final.reshape(-1, SET), axis=1) < 100.0) >= 0.95


def test_areas_go_up_to_what_is_promised():
    areas = [shop(shape, ("same", "kept")).last.answers.z for shape in SHAPES]
    assert max(areas) == pytest.approx(3500.0, rel=0.01)
    assert min(areas) < 1800.0


@all_shapes
@pytest.mark.parametrize(
    ("zeros", "burette"),
    [*((zeros, CLASS_A) for zeros in ZEROS), (("same", "kept"), CLASS_B), (("same", "kept"), TWO_FILLS)],
)
def test_interval_is_true(shape, zeros, burette):
    result = shop(shape, zeros, burette)
    found, error = share(np.abs(result.final - result.mean) <= 2 * result.u)
    assert found >= 0.94
    if result.variance_shares.max() <= 0.5:
        assert found <= 0.97 + 2 * error


@all_shapes
@pytest.mark.parametrize(
    ("zeros", "burette", "touch_off"),
    [
        (("same", "kept"), CLASS_A, 0.02),
        (("fresh", "kept"), CLASS_B, 0.02),
        (("same", "kept"), TWO_FILLS, 0.02),
        (("fresh", "fresh"), CLASS_A, 0.01),
        (("fresh", "fresh"), CLASS_B, 0.01),
        (("same", "kept"), CLASS_B, 0.02),
    ],
)
def test_told_chance_is_the_simulated_one(shape, zeros, burette, touch_off):
    found, _ = within(shape, shop(shape, zeros, burette, touch_off=touch_off))
    assert told(shape, zeros, burette, touch_off=touch_off) == pytest.approx(found, abs=0.01)


@pytest.mark.parametrize("shape", [s for s in SHAPES if s.kind == "flat"], ids=lambda s: s.name)
@pytest.mark.parametrize("first_zero", ["same", "fresh"])
def test_told_chance_with_a_coarse_fresh_touch(shape, first_zero):
    found, _ = within(shape, shop(shape, (first_zero, "fresh")))
    assert found < 0.99
    assert told(shape, (first_zero, "fresh")) == pytest.approx(found, abs=0.01)


@pytest.mark.parametrize("first_zero", ["same", "fresh"])
def test_told_chance_in_a_bowl_with_a_coarse_fresh_touch_is_on_the_safe_side(first_zero):
    """Towards the lip the first cut of a bowl stays the deeper one, which the two whole cuts do not see."""
    bowl = next(s for s in SHAPES if s.name == "spherical")
    found, _ = within(bowl, shop(bowl, (first_zero, "fresh")))
    assert found - 0.035 < told(bowl, (first_zero, "fresh")) < found + 0.005


@pytest.mark.parametrize(
    ("shape", "first_zero"),
    [(s, z) for s in SHAPES for z in ("same", "fresh") if (s.name, z) != ("spherical", "same")],
    ids=lambda value: getattr(value, "name", value),
)
def test_reading_halves_the_scatter(shape, first_zero):
    """The old dish uncertain by 0.25 cc, against one cut straight to the target with the same errors.

    Left out: the bowl that covers nearly all of the old dish, cut in one fixing. A 0.25 cc there is worth
    0.03 cc, the straight cut is good already, and reading it only takes the scatter down by 1.96.
    """
    result = shop(shape, (first_zero, "kept"), again=True, old_dish=250.0)
    assert result.final.std() <= result.ignoring.std() / 2


@all_shapes
def test_an_uncertain_old_dish_worked_out_again(shape):
    """0.25 cc: the sections answer unevenly, so both are worked out again for the dish as read."""
    result = shop(shape, ("same", "kept"), again=True, old_dish=250.0)
    found, error = share(np.abs(result.final - result.mean) <= 2 * result.u)
    assert 0.94 <= found <= 0.97 + 2 * error
    assert within(shape, result)[0] >= 0.99
    assert np.mean(np.ptp(result.final.reshape(-1, SET), axis=1) < 100.0) >= 0.95


def test_working_out_again_is_needed():
    """A bowl over a deeper bowl, worked out once: the interval is clearly too short."""
    shape = next(s for s in SHAPES if s.name == "bowl over a deeper bowl")
    result = shop(shape, ("same", "kept"), old_dish=250.0)
    assert np.mean(np.abs(result.final - result.mean) <= 2 * result.u) < 0.94


def test_a_cap_answers_differently_to_shift_and_depth():
    """Cap of radius 34, depth 3.3: 3632 mm2 for a shift, 1833 mm2 for a deeper cap with the same mouth."""
    cap = Shape("cap", "spherical", 34.0, 0.0, 6000.0, old_volume=0.0)
    assert float(cap.volume(cap.path(3.3))) == pytest.approx(np.pi * 3.3 * (3 * 34**2 + 3.3**2) / 6, rel=1e-6)
    step = 0.01
    shifted = cap.volume(cap.path(3.3).moved(z=step)) - cap.volume(cap.path(3.3).moved(z=-step))
    deeper = cap.volume(cap.path(3.3 + step)) - cap.volume(cap.path(3.3 - step))
    assert float(shifted) / (2 * step) == pytest.approx(3632.0, abs=1.0)
    assert float(deeper) / (2 * step) == pytest.approx(1833.0, abs=1.0)
