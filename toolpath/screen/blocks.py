"""Motions, sections and gaps as the short rows of numbers that the page draws from, mm and seconds."""

import math
from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

import numpy as np

from toolpath.clearance.gaps import Gap
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc
from toolpath.readback.motions import ControlPoint, Motion, centre_offset
from toolpath.units import MM_PER_METRE

STATIONS = 65  # of a motion, over which its time is summed
PLACES = 5  # decimals of a length: a hundredth of the finest word of a program

Numbers: TypeAlias = list[float | None]


class Pace(NamedTuple):
    """How fast the machine goes where the text does not say: mm/min at rapid, and a hand's mm/rev, rev/min."""

    rapid: float
    feed: float
    rpm: float


def blocks(
    motions: Sequence[Motion],
    gaps: Sequence[Gap | None],
    control_point: ControlPoint,
    insert_radius: float,
    pace: Pace,
) -> list[Numbers]:
    """A row a motion: line, kind (0 rapid, 1 line, 2 arc), start, end, arc, feed, speeds, seconds, gap.

    In full: line, kind, x1, z1, x2, z2, xc, zc, radius, start, sweep, feed (mm/rev), rev/min at the start
    and at the end, seconds, gap, its share of the path, x and z of the metal there. What is not known is null.
    """
    aside = -centre_offset(control_point, insert_radius)[0]
    return [_block(m, gap, aside, pace) for m, gap in zip(motions, gaps, strict=True)]


def _block(motion: Motion, gap: Gap | None, aside: float, pace: Pace) -> Numbers:
    first, last, seconds = _driven(motion, aside, pace)
    kind = 0 if motion.rapid else 2 if motion.radius else 1
    path = (motion.x1, motion.z1, motion.x2, motion.z2)
    arc = (motion.xc, motion.zc, motion.radius, motion.start, motion.sweep) if motion.radius else (None,) * 5
    near = (None,) * 4 if gap is None else (gap.gap, gap.share, gap.x, gap.z)
    feed = None if motion.rapid or not motion.mode.feed else motion.mode.feed
    return [motion.line, kind, *map(_short, (*path, *arc, feed, first, last, seconds, *near))]


def _driven(motion: Motion, aside: float, pace: Pace) -> tuple[float, float, float]:
    """Spindle speed at the start and at the end, rev/min, and the time, s.

    Under constant surface speed the control goes by the programmed point, which stands `aside` of the centre.
    """
    x = motion.places(np.linspace(0.0, 1.0, STATIONS))[0] + aside
    mode = motion.mode
    rpm = np.full(STATIONS, mode.speed if mode.turning else 0.0)
    if mode.turning and mode.surface:
        cap = math.inf if mode.cap is None else mode.cap
        rpm = np.minimum(cap, mode.speed / np.maximum(2 * math.pi * np.abs(x) / MM_PER_METRE, 1e-9))
    if motion.rapid:
        seconds = 60 * motion.length / pace.rapid
    elif mode.feed > 0 and rpm.min() > 0:
        turns = 1 / (mode.feed * rpm)
        seconds = 60 * motion.length * float(np.mean((turns[1:] + turns[:-1]) / 2))
    else:
        seconds = 60 * motion.length / (pace.feed * pace.rpm)
    return float(rpm[0]), float(rpm[-1]), seconds


def outline(chain: Chain) -> list[Numbers]:
    """A section from the axis outward: r1, z1, r2, z2 of each segment, of an arc rc, zc, radius, t1, t2 besides."""
    return [
        [
            *map(_short, (s.r1, s.z1, s.r2, s.z2)),
            *(map(_short, (s.rc, s.zc, s.radius, s.t1, s.t2)) if isinstance(s, Arc) else ()),
        ]
        for s in chain.segments
    ]


def _short(value: float | None) -> float | None:
    """A number with no more decimals than are of use, whole ones without any."""
    if value is None:
        return None
    short = round(value, PLACES) + 0.0  # no negative zero
    return int(short) if short == int(short) else short
