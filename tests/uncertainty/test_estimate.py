"""The update against linear algebra done another way, and against the limits that can be said by head."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from toolpath.uncertainty.estimate import (
    GENERATOR,
    SAMPLE,
    Linear,
    Prediction,
    State,
    Unknown,
    chance_within,
    deeper,
    normal_cdf,
)

SIZES = st.floats(0.01, 50.0)
SLOPES = st.floats(-3000.0, 3000.0)


@settings(max_examples=60, deadline=None)
@given(st.lists(SIZES, min_size=3, max_size=6), st.data())
def test_update_is_the_conditional_gaussian(sizes, data):
    """All readings at once by solving the joint covariance, mean = C H' (H C H')^-1 y (any textbook on the
    multivariate normal), instead of one by one."""
    names = [f"q{k}" for k in range(len(sizes))]
    noises = [Unknown(f"e{k}", data.draw(SIZES)) for k in range(3)]
    rows = [[data.draw(SLOPES) for _ in names] for _ in noises]
    values = [data.draw(SLOPES) for _ in noises]
    state = State.start(*(Unknown(n, u) for n, u in zip(names, sizes, strict=True)), *noises)
    for noise, row, value in zip(noises, rows, values, strict=True):
        state = state.observe({**dict(zip(names, row, strict=True)), noise.name: 1.0}, value)
    prior = np.diag([u * u for u in sizes])
    h = np.array(rows)
    joint = h @ prior @ h.T + np.diag([e.u**2 for e in noises])
    gain = np.linalg.solve(joint, h @ prior).T
    scale = np.outer(sizes, sizes)
    n = len(sizes)
    assert state.mean[:n] / sizes == pytest.approx(gain @ values / sizes, rel=1e-5, abs=1e-5)
    wanted = (prior - gain @ h @ prior) / scale
    assert state.covariance[:n, :n] / scale == pytest.approx(wanted, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.permutations(range(4)), st.lists(SLOPES, min_size=4, max_size=4))
def test_the_order_of_readings_does_not_matter(order, values):
    def read(sequence):
        state = State.start(
            Unknown("a", 2.0), Unknown("b", 3.0), *(Unknown(f"e{k}", 1.0 + k) for k in range(4))
        )
        for k in sequence:
            state = state.observe({"a": 1.0, "b": k - 1.5, f"e{k}": 1.0}, values[k])
        return state

    one, other = read(range(4)), read(order)
    assert one.mean == pytest.approx(other.mean, abs=1e-7)
    assert one.covariance == pytest.approx(other.covariance, abs=1e-9)


def test_covariance_stays_positive_after_many_sharp_readings():
    state = State.start(Unknown("a", 1.0), Unknown("b", 1e3))
    for k in range(200):
        state = state.extended(Unknown(f"e{k}", 1e-9)).observe({"a": 1e3, "b": 1.0 + k, f"e{k}": 1.0}, 0.0)
    covariance = state.covariance
    assert np.array_equal(covariance, covariance.T)
    assert np.linalg.eigvalsh(covariance).min() > -1e-12


def test_a_certain_thing_read_again_teaches_nothing():
    state = State.start(Unknown("a", 2.0)).observe({"a": 1.0}, 1.0)
    assert state.observe({"a": 1.0}, 5.0).mean == pytest.approx([1.0])


def two_cuts(slope, value):
    """What a reading, a further unknown and a second cut make of one piston, or of many at once."""
    state = State.start(Unknown("a", 2.0), Unknown("e", 1.0)).observe({"a": slope, "e": 1.0}, value)
    state = state.observe({"a": 1.0, "e": slope}, value / 2.0)
    state = state.extended(Unknown("b", 1.0), Unknown("c", 0.5))
    before, new = Linear(value, {"a": slope, "b": 1.0}), Linear(value + 1.5, {"a": 1.0, "c": -2.0})
    earlier = state.predict({"a": 5.0}, nominal=value)
    wider, line = state.larger(before, new, "left", "mm")
    later = wider.predict(line.gradient, line.nominal)
    return (earlier.mean, earlier.u, later.mean, later.u, *deeper(earlier, later), line.gradient["a"])


def test_many_pistons_at_once_are_the_same_as_one_by_one():
    slopes, values = np.array([1.0, 4.0, 0.5]), np.array([3.0, -7.0, 0.2])
    together = two_cuts(slopes, values)
    for k, (slope, value) in enumerate(zip(slopes, values, strict=True)):
        assert [found[k] for found in together] == pytest.approx([float(v) for v in two_cuts(slope, value)])


@pytest.mark.parametrize("u", [-1.0, math.nan, math.inf])
def test_unknown_failure(u):
    with pytest.raises(ValueError, match=r"standard uncertainty of seat is .*; it must be 0 or more"):
        Unknown("seat", u)


def test_names_failure():
    state = State.start(Unknown("a", 1.0))
    with pytest.raises(ValueError, match=r"two unknowns have the same name: a, b, a$"):
        state.extended(Unknown("b", 1.0), Unknown("a", 2.0))
    with pytest.raises(ValueError, match=r"not among the unknowns: c, d$"):
        state.predict({"d": 1.0, "a": 1.0, "c": 1.0})


def test_among_more_unknowns_a_quantity_is_the_same():
    unknowns = (Unknown("a", 1.0), Unknown("b", 2.0), Unknown("c", 3.0))
    wider = Prediction(unknowns[:1], np.asarray(5.0), np.array([-4.0])).over(unknowns)
    assert wider.unknowns == unknowns
    assert wider.parts.tolist() == [-4.0, 0.0, 0.0]
    assert (float(wider.mean), float(wider.u)) == (5.0, 4.0)


def test_normal_cdf_is_scipys():
    z = np.linspace(-9, 9, 37)
    assert normal_cdf(z) == pytest.approx(stats.norm.cdf(z), rel=1e-12)


@pytest.mark.parametrize("sd", [1e-9, 0.3, 0.99, 40.0])
def test_deeper_of_a_normal_and_its_mean(sd):
    """max(X, 0) of X ~ N(0, sd): the mean is sd/sqrt(2 pi), of the square sd^2/2 (half of a symmetric law)."""
    unknowns = (Unknown("a", 1.0),)
    got = deeper(
        Prediction(unknowns, np.asarray(0.0), np.array([sd])),
        Prediction(unknowns, np.asarray(0.0), np.zeros(1)),
    )
    mean = sd / math.sqrt(2 * math.pi)
    assert float(got[0]) == pytest.approx(mean, rel=1e-9)
    assert float(got[1]) == pytest.approx(math.sqrt(sd**2 / 2 - mean**2), rel=1e-6)


@pytest.mark.parametrize("sd", [1e-6, 0.03, 1.0, 40.0])
@pytest.mark.parametrize("ratio", [-8.0, -1.5, -0.2, 0.7, 3.0])
def test_deeper_of_a_normal_and_nothing(sd, ratio):
    """max(X, 0) of X ~ N(m, sd), the integrals of x and x^2 over the positive half by parts, with t = m/sd:
    the mean is m Phi(t) + sd phi(t), of the square (m^2 + sd^2) Phi(t) + m sd phi(t)."""
    unknowns = (Unknown("a", 1.0),)
    m = ratio * sd
    got = deeper(
        Prediction(unknowns, np.asarray(0.0), np.zeros(1)),
        Prediction(unknowns, np.asarray(m), np.array([sd])),
    )
    mean = m * stats.norm.cdf(ratio) + sd * stats.norm.pdf(ratio)
    square = (m * m + sd * sd) * stats.norm.cdf(ratio) + m * sd * stats.norm.pdf(ratio)
    assert float(got[0]) == pytest.approx(mean, rel=1e-9, abs=1e-9 * sd)
    assert float(got[1]) == pytest.approx(math.sqrt(square - mean * mean), rel=1e-6, abs=1e-6 * sd)


@pytest.mark.parametrize("gap", [-60.0, -10.0, 0.0, 15.0, 200.0])
def test_deeper_of_two_against_quadrature(gap):
    """Clark's moments against the integral over the two normal variables."""
    unknowns = (Unknown("a", 1.0), Unknown("b", 1.0))
    one = Prediction(unknowns, np.asarray(100.0), np.array([30.0, 5.0]))
    two = Prediction(unknowns, np.asarray(100.0 + gap), np.array([10.0, 20.0]))
    nodes, weights = np.polynomial.hermite_e.hermegauss(140)
    a, b = np.meshgrid(nodes, nodes)
    w = np.outer(weights, weights) / (2 * math.pi)
    largest = np.maximum(100 + 30 * a + 5 * b, 100 + gap + 10 * a + 20 * b)
    mean = float((w * largest).sum())
    sd = math.sqrt(float((w * (largest - mean) ** 2).sum()))
    got = deeper(one, two)
    assert (float(got[0]), float(got[1])) == pytest.approx((mean, sd), abs=0.15)


def test_chance_of_a_normal_and_a_rectangle():
    """Half-width 50 uniform: 40 % lies within +-20; normal: scipy's distribution function."""
    rectangle = Prediction(
        (Unknown("b", 1.0, shape="rectangular"),), np.asarray(0.0), np.array([50 / 3**0.5])
    )
    normal = Prediction((Unknown("n", 1.0),), np.asarray(0.0), np.array([10.0]))
    assert chance_within(-20, 20, rectangle) == pytest.approx(0.4, abs=0.006)
    assert chance_within(-20, 20, normal) == pytest.approx(stats.norm.cdf(2) - stats.norm.cdf(-2), abs=0.003)


@pytest.mark.parametrize("shape", ["rectangular", "normal"])
def test_both_sides_of_the_middle_are_as_likely_to_the_last_digit(shape):
    one = Prediction((Unknown("q", 1.0, shape=shape),), np.asarray(0.0), np.array([20.0]))
    assert chance_within(-9e9, 0.0, one) == pytest.approx(chance_within(0.0, 9e9, one), abs=1e-9)


@pytest.mark.parametrize("count", [2, 5, 9, 16])
def test_chances_of_many_parts_against_scipy(count):
    """Normal parts: scipy's normal law. Rectangular and normal ones: a random sample of scipy's laws."""
    rng = np.random.default_rng(count)
    normal = tuple(Unknown(f"n{k}", 1.0) for k in range(count))
    mixed = tuple(Unknown(f"m{k}", 1.0, shape="rectangular" if k % 2 else "normal") for k in range(count))
    uniform = stats.uniform(-math.sqrt(3), 2 * math.sqrt(3))
    for _ in range(20):
        parts = rng.exponential(size=count) * rng.choice([-1.0, 1.0], count)
        u = math.hypot(*parts)
        low, high = -u * rng.uniform(0.5, 2.5), u * rng.uniform(0.5, 2.5)
        got = chance_within(low, high, Prediction(normal, np.asarray(0.0), parts))
        assert got == pytest.approx(stats.norm.cdf(high / u) - stats.norm.cdf(low / u), abs=0.01)
        laws = [uniform if k % 2 else stats.norm for k in range(count)]
        drawn = sum(
            part * law.rvs(size=100_000, random_state=rng) for part, law in zip(parts, laws, strict=True)
        )
        got = chance_within(low, high, Prediction(mixed, np.asarray(0.0), parts))
        assert got == pytest.approx(np.mean((drawn >= low) & (drawn <= high)), abs=0.013)


def test_the_lattice_is_the_best_of_its_size():
    """P2, the mean error over functions whose mixed derivatives are bounded, of every generator in six dimensions.

    I. H. Sloan and S. Joe, "Lattice Methods for Multiple Integration" (1994), from memory: the mean over the
    points of the product of 1 + 2 pi^2 B2(x), less 1, with Bernoulli's B2(x) = x^2 - x + 1/6.
    """

    def p2(generator):
        place, product = np.arange(SAMPLE), np.ones(SAMPLE)
        for _ in range(6):
            x = place / SAMPLE
            product *= 1 + 2 * np.pi**2 * (x * x - x + 1 / 6)
            place = place * generator % SAMPLE
        return product.mean() - 1

    # a generator and its inverse make the same points, so do the two with their signs turned
    assert p2(GENERATOR) <= min(map(p2, range(2, SAMPLE // 2))) + 1e-9


@pytest.mark.parametrize(
    ("low", "high"),
    [(-9e9, 20.0), (-20.0, 9e9), (-9e9, -5.0), (12.0, 9e9), (-9e9, 30.0), (-100.0, 100.0), (50.0, 60.0)],
)
@pytest.mark.parametrize("u", [0.02, 10.0])
def test_chance_on_either_side_is_the_normal_tail(low, high, u):
    """Limits in tenths of u."""
    one = Prediction((Unknown("n", 1.0),), np.asarray(0.0), np.array([u]))
    scale = u / 10.0
    wanted = stats.norm.cdf(high / 10.0) - stats.norm.cdf(low / 10.0)
    assert chance_within(low * scale, high * scale, one) == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize("other", [-40.0, 0.0, 20.0, 60.0])
def test_chance_of_the_larger_is_spoiled_by_the_other_alone(other):
    """The last is the same in each case and seldom out of +-20; the other cut may stand above it.

    Both independent: F(20) of the one times that of the other, less the same at -20.
    """
    unknowns = (Unknown("a", 1.0), Unknown("b", 1.0))
    before = Prediction(unknowns[:1], np.asarray(other), np.array([10.0]))
    last = Prediction(unknowns, np.asarray(0.0), np.array([0.0, 10.0]))
    both = [stats.norm.cdf(z) * stats.norm.cdf(z - other / 10.0) for z in (2.0, -2.0)]
    assert chance_within(-20.0, 20.0, before, last) == pytest.approx(both[0] - both[1], abs=0.01)


@pytest.mark.parametrize(
    ("at", "other", "u"), [(-20.0, -100.0, 40.0), (20.0, 0.0, 10.0)], ids=["lower", "upper"]
)
def test_a_certain_value_on_a_limit_is_within(at, other, u):
    """It lies on a limit of +-20; only another cut that stands above 20 spoils it."""
    unknowns = (Unknown("a", 1.0),)
    last = Prediction(unknowns, np.asarray(at), np.zeros(1))
    before = Prediction(unknowns, np.asarray(other), np.array([u]))
    assert chance_within(-20.0, 20.0, last) == 1.0
    wanted = stats.norm.cdf((20.0 - other) / u)
    assert chance_within(-20.0, 20.0, before, last) == pytest.approx(wanted, abs=0.01)


def test_line_through_the_larger_of_two_has_its_moments():
    """Mean, variance, and covariance with each unknown, against a plain sample of the larger itself."""
    state = State.start(Unknown("a", 2.0), Unknown("b", 1.0), Unknown("c", 1.5)).observe(
        {"a": 1.0, "c": 1.0}, 0.8
    )
    one, other = Linear(10.0, {"a": 3.0, "b": 1.0}), Linear(11.0, {"b": 2.0, "c": -2.0})
    wider, line = state.larger(one, other, "left", "mm3")
    found = wider.predict(line.gradient, line.nominal)
    rng = np.random.default_rng(3)
    draws = rng.multivariate_normal(state.mean, state.covariance, 400_000)
    largest = np.maximum(10.0 + draws @ [3.0, 1.0, 0.0], 11.0 + draws @ [0.0, 2.0, -2.0])
    left = wider.unknowns[-1]
    assert (left.name, left.unit) == ("left", "mm3")
    assert left.source == "the line through the deeper of two cuts"  # as the budget prints it
    assert float(found.mean) == pytest.approx(largest.mean(), abs=0.03)
    assert float(found.u) == pytest.approx(largest.std(), rel=0.01)
    for k, name in enumerate(("a", "b", "c")):
        wanted = np.cov(draws[:, k], largest)[0, 1]
        assert float(wider.predict({name: 1.0}).parts @ found.parts) == pytest.approx(wanted, abs=0.05)


def test_line_where_one_is_larger_for_certain_is_its_own():
    state = State.start(Unknown("a", 1.0), Unknown("b", 1.0))
    new = Linear(20.0, {"b": 1.0})
    same, line = state.larger(Linear(0.0, {"a": 1.0}), new, "left", "mm")
    assert (same, line) == (state, new)
