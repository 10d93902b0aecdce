"""Inside one process: solving against scipy, and reading programs against a general-purpose reader."""

import math
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import process_time
from typing import Any

from scipy.integrate import quad
from scipy.optimize import brentq

from tests.jobs.judged import read as read_job
from toolpath.geometry.chain import deeper
from toolpath.geometry.segments import Arc
from toolpath.profile.dish import Search, skimmed_section
from toolpath.program.frames import frame_of
from toolpath.program.proof import setup_of
from toolpath.program.text import made
from toolpath.readback.reader import read
from toolpath.readback.verdict import Wanted, readback
from toolpath.recut import Recut, resolve
from toolpath.reference import folder


def sample(name: str) -> Recut:
    """A resolved sample."""
    return resolve(read_job((folder("samples") / f"{name}.toml").read_text()))


def timed(call: Callable[[], Any], rounds: int) -> float:
    """Median processor seconds of a call."""
    spent = []
    for _ in range(rounds):
        start = process_time()
        call()
        spent.append(process_time() - start)
    return median(spent)


@dataclass(frozen=True, slots=True)
class Solving:
    """Seconds for the depth of one flat dish in an old bowl, and each way's error of the volume, relative."""

    ours: float
    through_section: float  # scipy over the heights of the very same chains of lines and arcs
    written_out: float  # scipy over the heights written out by hand in plain floats
    told_kinks: float  # the same, told beforehand where the section bends
    ours_off: float
    through_section_off: float
    written_out_off: float
    told_kinks_off: float


def solving(rounds: int) -> Solving:
    """Solve the depth in four ways, to 1e-9 of the volume or better."""
    design = sample("pump-engine").design
    assert design is not None
    section, shape, skim = design.received.section, design.shape, design.skim
    bowl = section.segments[0]
    assert isinstance(bowl, Arc)
    corner, mouth = shape.corner, shape.mouth
    assert mouth is not None
    wanted = design.finished.volume_below()
    search = Search(shape._replace(depth=None), section, skim, section.outer)

    def ours() -> float:
        depth = search.solved("depth", lambda _: wanted)[0].depth
        assert depth is not None
        return depth

    def hollow(r: float, depth: float, centre: float) -> float:
        old = math.sqrt(bowl.radius**2 - r * r) - bowl.zc - skim if r < bowl.r2 else 0.0
        new = (
            depth - corner + math.sqrt(max(0.0, corner**2 - max(0.0, r - centre) ** 2)) if r < mouth else 0.0
        )
        return 2 * math.pi * r * max(old, new, 0.0)

    def centre_of(depth: float) -> float:
        return mouth - math.sqrt(corner**2 - max(0.0, corner - depth) ** 2)

    def written_out(depth: float) -> float:
        centre = centre_of(depth)
        return _integral(lambda r: hollow(r, depth, centre), section.outer, None)

    def told_kinks(depth: float) -> float:
        centre = centre_of(depth)
        inner = math.sqrt(max(0.0, bowl.radius**2 - (bowl.zc + skim + depth) ** 2))
        kinks = sorted(r for r in (inner, centre) if 0 < r < mouth)
        return _integral(lambda r: hollow(r, depth, centre), mouth, kinks)

    def through_section(depth: float) -> float:
        old = section.moved(skim)
        skimmed = skimmed_section(old)
        finished = deeper(skimmed, shape._replace(depth=depth).cut(old, skimmed))
        return _integral(lambda r: -2 * math.pi * r * finished.at(r), section.outer, None)

    def by_scipy(volume: Callable[[float], float]) -> Callable[[], float]:
        return lambda: float(brentq(lambda d: volume(d) - wanted, 2.0, 5.0, xtol=1e-12, rtol=1e-12))

    ways = (ours, by_scipy(through_section), by_scipy(written_out), by_scipy(told_kinks))
    errors = [abs(search.volume(shape._replace(depth=way()), skim) / wanted - 1) for way in ways]
    return Solving(*(timed(way, rounds) for way in ways), *errors)


def _integral(f: Callable[[float], float], outer: float, kinks: list[float] | None) -> float:
    return float(quad(f, 0.0, outer, points=kinks, epsabs=0, epsrel=1e-10, limit=500)[0])


def long_program(blocks: int) -> tuple[str, Wanted]:
    """A sample's program that runs its finishing contour again and again, and what it is held against."""
    recut = sample("pump-engine")
    done = made(recut)
    lines = done.text.split("\n")
    head = next(k for k, line in enumerate(lines) if "FINISHING CONTOUR - START" in line)
    begin = next(k for k in range(head, len(lines)) if lines[k].startswith("G00"))
    end = next(k for k in range(begin, len(lines)) if lines[k].startswith("G97"))
    again = lines[begin:end]
    times = max(1, (blocks - len(lines)) // len(again) + 1)
    text = "\n".join([*lines[:begin], *again * times, *lines[end:]])
    return text, setup_of(recut, frame_of(recut))


def read_ours(text: str, setup: Wanted) -> int:
    """The number of motions that our reader finds."""
    assert setup.dialect != "dro-table"
    reading = read(
        text,
        dialect=setup.dialect,
        units=setup.units,
        x_reading=setup.x_reading,
        control_point=setup.control_point,
        insert_radius=setup.insert_radius,
        spindle=None if setup.stated is None else setup.stated.spindle,
    )
    assert not reading.faults
    return len(reading.motions)


def read_words(text: str) -> int:
    """The number of G and M words that pygcode finds, block by block."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pygcode import Line

    return sum(len(Line(line).block.gcodes) for line in text.split("\n"))


def read_motions(text: str) -> int:
    """The number of places to which pygcode's machine is led: words, modes and positions, as ours."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pygcode import Line, Machine

    machine, places = Machine(), 0
    for line in text.split("\n"):
        before = machine.pos
        machine.process_block(Line(line).block)
        places += machine.pos != before
    return places


def read_back(text: str, setup: Wanted) -> None:
    """The whole readback: read, cut, compare."""
    assert readback(text, setup).ok
