"""Swept envelopes in closed form against plain sampling of the same path."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.readback.motions import Motion
from toolpath.readback.sweep import Floats, Piece, arc_pieces, disc, line_pieces, lower_to

R = 3.0
SAMPLES = 4001


def straight(x1: float, z1: float, x2: float, z2: float) -> Motion:
    return Motion(1, "", False, x1, z1, x2, z2)


def arc(xc: float, zc: float, q: float, start: float, sweep: float) -> Motion:
    """Angles in degrees, counter-clockwise from +x with z upwards."""
    a, b = math.radians(start), math.radians(start + sweep)
    return Motion(
        1,
        "",
        False,
        xc + q * math.cos(a),
        zc + q * math.sin(a),
        xc + q * math.cos(b),
        zc + q * math.sin(b),
        xc,
        zc,
        q,
        a,
        math.radians(sweep),
    )


def pieces_of(motion: Motion, radius: float) -> list[Piece]:
    """The whole sweep, the disc at the start included."""
    assert motion.x1 is not None
    assert motion.z1 is not None
    first = [disc(motion.x1, motion.z1, radius), disc(-motion.x1, motion.z1, radius)]
    if motion.radius:
        return first + arc_pieces(motion, radius)
    return first + line_pieces(motion.x1, motion.z1, motion.x2, motion.z2, radius)


def exact(motion: Motion, r: Floats, radius: float = R) -> Floats:
    z = np.full_like(r, np.inf)
    lower_to(z, r, np.array(pieces_of(motion, radius)))
    return z


def sampled(motion: Motion, r: Floats, radius: float = R) -> Floats:
    """Lowest disc over r for many centres on the path; the work turns, so |x| counts."""
    t = np.linspace(0, 1, SAMPLES)[:, None]
    if motion.radius:
        angle = motion.start + t * motion.sweep
        x, z = motion.xc + motion.radius * np.cos(angle), motion.zc + motion.radius * np.sin(angle)
    else:
        assert motion.x1 is not None
        assert motion.z1 is not None
        x, z = motion.x1 + t * (motion.x2 - motion.x1), motion.z1 + t * (motion.z2 - motion.z1)
    across = radius**2 - (r[None, :] - np.abs(x)) ** 2
    return np.where(across >= 0, z - np.sqrt(np.maximum(across, 0)), np.inf).min(axis=0)


def assert_same(motion: Motion, radius: float = R) -> None:
    """Sampling never goes below the envelope, and is above it by no more than one step of the path."""
    step = max(motion.length, 1e-3) / (SAMPLES - 1)
    r = np.linspace(step, 45.0, 1500)
    found, around = exact(motion, r, radius), sampled(motion, r, radius)
    assert np.isfinite(found).any()
    assert (found <= around + 1e-9).all()
    shifted = np.maximum(exact(motion, r - step, radius), exact(motion, r + step, radius))
    assert (around <= np.maximum(found, shifted) + step).all()


@pytest.mark.parametrize(
    "motion",
    [
        pytest.param(straight(10, 2, 30, 2), id="level, outward"),
        pytest.param(straight(30, 2, 10, 2), id="level, inward"),
        pytest.param(straight(10, 2, 10, -4), id="plunge"),
        pytest.param(straight(10, -4, 10, 2), id="lift"),
        pytest.param(straight(10, -1, 30, 5), id="rising outward"),
        pytest.param(straight(30, -1, 10, 5), id="rising inward"),
        pytest.param(straight(20, -8, 20.5, 8), id="steep wall"),
        pytest.param(straight(0, 1, 12, 1), id="from the axis"),
        pytest.param(straight(5, 1, -4, -2), id="past the axis"),
        pytest.param(arc(20, 4, 2.0, -90, 90), id="hollow corner, outward"),
        pytest.param(arc(20, 4, 2.0, 0, -90), id="hollow corner, inward"),
        pytest.param(arc(20, 0, 8.0, 180, -90), id="proud, q over R, outward"),
        pytest.param(arc(20, 0, 8.0, 90, -60), id="proud lip, q over R"),
        pytest.param(arc(20, 0, 3.0, 150, -120), id="proud, q equal to R"),
        pytest.param(arc(20, 0, 1.5, 180, -180), id="proud, q under R"),
        pytest.param(arc(20, 0, 6.0, -60, 120), id="through the outermost point"),
        pytest.param(arc(20, 0, 6.0, 240, -150), id="through the innermost point"),
        pytest.param(arc(20, 0, 7.0, 30, 360), id="full circle"),
        pytest.param(arc(0, 30, 27.0, -90, 40), id="bowl from the axis"),
        pytest.param(arc(2, 0, 6.0, 200, 60), id="past the axis on an arc"),
    ],
)
def test_the_envelope_is_that_of_a_sampled_path(motion: Motion) -> None:
    assert_same(motion)


@settings(max_examples=40, deadline=None)
@given(
    x1=st.floats(0, 40),
    z1=st.floats(-10, 10),
    x2=st.floats(0, 40),
    z2=st.floats(-10, 10),
    radius=st.floats(0.4, 8),
)
def test_any_line(x1: float, z1: float, x2: float, z2: float, radius: float) -> None:
    assert_same(straight(x1, z1, x2, z2), radius)


@settings(max_examples=40, deadline=None)
@given(
    xc=st.floats(0, 40),
    q=st.floats(0.1, 30),
    start=st.floats(-180, 180),
    sweep=st.floats(-360, 360),
    radius=st.floats(0.4, 8),
)
def test_any_arc(xc: float, q: float, start: float, sweep: float, radius: float) -> None:
    motion = arc(xc, 0.0, q, start, sweep)
    if np.isfinite(sampled(motion, np.linspace(0.1, 45, 1500), radius)).any():
        assert_same(motion, radius)


def test_an_upper_half_smaller_than_the_disc_leaves_no_piece_of_its_own() -> None:
    rho = [piece[5] for piece in arc_pieces(arc(20, 0, 1.5, 150, -120), R)]
    assert set(rho) <= {R, 0.0}


@pytest.mark.parametrize(
    ("motion", "least"),
    [
        (straight(5, 0, 2, 0), 2.0),
        (arc(5, 0, 3, 90, -90), 5.0),
        (arc(5, 0, 3, 90, 180), 2.0),  # through the leftmost point, between the ends
        (arc(5, 0, 3, -90, -180), 2.0),
        (arc(5, 0, 3, 10, 360), 2.0),
    ],
)
def test_least_x(motion: Motion, least: float) -> None:
    assert motion.least_x == pytest.approx(least, abs=1e-12)
