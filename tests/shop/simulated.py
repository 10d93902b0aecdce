"""A shop of thousands of pistons with true errors, run through the same functions as the commands.

The solids are closed forms of revolution on a radial grid, with the existing bowl below them: a path with
a floor of radius `c`, then an arc of radius `p`, so that c = 0 is a spherical bowl and a depth beyond p
has a straight wall. Everything is an array with one row a piston. Volumes in mm3, lengths in mm.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from toolpath.uncertainty.budget import Burette, Sensitivities, SetupUncertainty, Zero
from toolpath.uncertainty.estimate import deeper
from toolpath.uncertainty.stages import AS_RECEIVED, Form, Progress, first_target, last_target

NODES, WEIGHTS = np.polynomial.legendre.leggauss(96)
NODES, WEIGHTS = (NODES + 1) / 2, WEIGHTS / 2
OLD_DISH = 3  # its place among the unknowns
SET = 4  # pistons that share burette, insert and X setting


@dataclass(frozen=True)
class Path:
    """A finished path: radius of the flat part, corner radius, depth; arrays or numbers."""

    c: np.ndarray | float
    p: np.ndarray | float
    d: np.ndarray | float

    def moved(self, x=0.0, insert=0.0, z=0.0):
        """As really cut: touched off right on floor and wall, a larger insert only leaves more corner."""
        return Path(self.c + x - insert, self.p + insert, self.d + z)

    def mouth(self):
        open_arc = np.sqrt(np.maximum(self.p**2 - np.maximum(self.p - self.d, 0.0) ** 2, 0.0))
        return self.c + open_arc

    def depth(self, r):
        c, p, d = (np.asarray(v)[..., None] for v in (self.c, self.p, self.d))
        beyond = np.maximum(r - c, 0.0)
        inside = d - p + np.sqrt(np.maximum(p * p - beyond**2, 0.0))
        return np.where(beyond <= p, inside, -np.inf)


@dataclass(frozen=True)
class Shape:
    """A job: how its path follows from its depth, the old bowl and the target (mm3)."""

    name: str
    kind: str  # "flat" | "spherical"
    mouth: float  # radius
    corner: float
    target: float
    old_mouth: float = 32.0  # radius as received
    old_volume: float = 9300.0
    skim: float = 0.5

    def path(self, d):
        if self.kind == "flat":
            return Path(np.full_like(np.asarray(d, dtype=float), self.mouth - self.corner), self.corner, d)
        return Path(0.0 * d, (self.mouth**2 + d * d) / (2 * d), d)

    def old_depth(self, r, volume, skim):
        """Spherical bowl, stretched in depth to `volume`, after the skim."""
        h = np.roots([1, 0, 3 * self.old_mouth**2, -6 * self.old_volume / np.pi])
        h = float(h[np.abs(h.imag) < 1e-9].real[0])
        rho = (self.old_mouth**2 + h * h) / (2 * h)
        bowl = np.where(r < self.old_mouth, h - rho + np.sqrt(np.maximum(rho**2 - r * r, 0.0)), 0.0)
        stretch = np.asarray(volume / self.old_volume)[..., None]
        return stretch * bowl - np.asarray(skim)[..., None]

    def volume(self, *cuts, old=None, t0=0.0):
        """The deepest of old bowl and cuts, everywhere."""
        mouths = [cut.mouth() for cut in cuts]
        mouth = np.max(np.broadcast_arrays(*mouths, self.old_mouth if self.old_volume else 0.0), axis=0)
        r = np.asarray(mouth)[..., None] * NODES
        depth = np.maximum(0.0, np.max(np.broadcast_arrays(*(cut.depth(r) for cut in cuts)), axis=0))
        if self.old_volume:
            old = self.old_volume if old is None else old
            depth = np.maximum(depth, self.old_depth(r, old, self.skim + t0))
        return 2 * np.pi * mouth * ((r * depth) @ WEIGHTS)

    @cached_property
    def table(self):
        """Volumes over depths 0.007 mm apart: between them the line is right to 0.01 mm3."""
        depths = np.linspace(0.05, 0.8 * self.mouth, 4001)
        return self.volume(self.path(depths)), depths

    def solve(self, volume):
        """Depth at which the nominal section holds `volume`."""
        return np.interp(volume, *self.table)

    def form(self, d, volume, old_u, first=False, near=0.0):
        """Nominal form at depth `d`, worked out for an old dish larger than nominal by `near`.

        The old dish answers over the span of its uncertainty, since a bowl below the new floor answers
        unevenly: for the first cut from nominal to the larger end, that overshoot is not understated.
        """
        path = self.path(d)

        def at(x=0.0, insert=0.0, z=0.0, old=0.0, t0=0.0):
            return self.volume(path.moved(x, insert, z), old=self.old_volume + near + old, t0=t0)

        up, down = (2.6 * old_u, 0.0) if first else (1.7 * old_u, 1.7 * old_u)
        answers = Sensitivities(
            z=(at(z=0.02) - at(z=-0.02)) / 0.04,
            x=(at(x=0.02) - at(x=-0.02)) / 0.04,
            insert=(at(insert=0.01) - at(insert=-0.01)) / 0.02,
            old=(at(old=up) - at(old=-down)) / (up + down),
            show=(at(t0=-0.02) - at(t0=0.02)) / 0.04,
        )
        return Form(volume + at() - self.volume(path) - answers.old * near, answers, depth=d)


SHAPES = (
    Shape("flat over an old bowl", "flat", 34.0, 5.0, 11600.0),
    Shape("spherical", "spherical", 34.0, 0.0, 11500.0, old_mouth=24.0, old_volume=6500.0),
    Shape("bowl over a deeper bowl", "spherical", 34.0, 0.0, 11500.0, old_mouth=24.0, old_volume=8000.0),
    Shape("deep wall", "flat", 25.0, 5.0, 24000.0, old_mouth=20.0, old_volume=11000.0),
)


@dataclass(frozen=True)
class Result:
    """One run of the shop: true volumes after the first and the last cut; what was predicted."""

    first: np.ndarray
    final: np.ndarray
    ignoring: np.ndarray  # one cut straight to the target, same errors
    mean: np.ndarray  # expected final volume, piston by piston
    u: np.ndarray
    progress: Progress  # after the reading
    first_form: Form
    last: Form  # at about the target
    variance_shares: np.ndarray  # of the last cut's rectangular parts


def run(
    shape: Shape, setup: SetupUncertainty, burette: Burette, first_zero: Zero, last_zero: Zero, again=False
):
    """Cut 10,000 pistons in sets of four.

    `again`: both sections are worked out again, piston by piston, for the old dish that the reading tells
    and for the depth that the last cut will have, as a command does it; else once at the nominal sections.
    """
    pistons = 10_000
    rng = np.random.default_rng(1)

    def normal(u):
        return rng.normal(0, 1, pistons) * u

    def rectangle(half, size=pistons):
        return rng.uniform(-1, 1, size) * half

    def of_set(values):
        return np.repeat(values, SET)

    sets = pistons // SET
    x = of_set(rng.normal(0, setup.x_touch, sets))
    insert = of_set(rectangle(setup.insert_radius * np.sqrt(3), sets))
    calibration = of_set(rectangle(burette.fills * burette.largest_error, sets))
    t0, old = normal(setup.touch_off), shape.old_volume + normal(setup.old_dish)

    def depth_error(zero, before):
        return (
            (0.0 if zero == "fresh" else before)
            + normal(setup.repeat)
            + (normal(setup.refit) if zero == "kept" else 0.0)
            + (normal(setup.touch_off) if zero == "fresh" else 0.0)
        )

    def really(d, z):
        return shape.path(d).moved(x, insert, z)

    start = Progress.start(setup, burette, Form(shape.old_volume, AS_RECEIVED))
    target_depth = float(shape.solve(shape.target))
    last = shape.form(target_depth, shape.target, setup.old_dish)

    # first cut: the target is the same for all, nothing was read yet
    depth = target_depth
    for _ in range(3):
        wary = shape.form(depth, shape.target, setup.old_dish, first=True)
        aim = float(first_target(start, wary, first_zero, shape.target))
        depth = float(shape.solve(aim))
    form = shape.form(depth, aim, setup.old_dish)
    z1 = depth_error(first_zero, 0.0)
    cut1 = really(np.full(pistons, form.depth), z1)
    first = shape.volume(cut1, old=old, t0=t0)
    lines = sum(rectangle(burette.graduation / 2) for _ in range(burette.fills))
    reading = first + calibration + lines
    progress = start.cut(form, first_zero).read_volume(reading)

    # last cut: every piston its own; where nothing is left to cut it stays as it is
    depths = target_depth
    aims = last_target(progress, last, last_zero, shape.target)
    for _ in range(3 * again):
        near = progress.state.mean[..., OLD_DISH]
        left = np.sqrt(progress.state.covariance[..., OLD_DISH, OLD_DISH]).max()
        progress = start.cut(shape.form(depth, aim, left, near=near), first_zero).read_volume(reading)
        depths = shape.solve(aims)
        nominal = shape.volume(shape.path(depths))
        last = shape.form(depths, nominal, left, near=near)
        aims = last_target(progress, last, last_zero, shape.target) - (last.volume - nominal)
    to_cut = aims > aim
    depths = shape.solve(np.maximum(aims, aim))
    z2 = depth_error(last_zero, z1)
    final = np.where(to_cut, shape.volume(cut1, really(depths, z2), old=old, t0=t0), first)

    # where a section answers unevenly its volume at the nominal old dish is not the nominal volume
    uneven = last.volume - (nominal if again else shape.target)
    planned = progress.cut(last._replace(volume=aims + uneven), last_zero)
    now = progress.volume()
    mean, u = deeper(now, planned.volume())
    mean, u = np.where(to_cut, mean, now.mean), np.where(to_cut, u, now.u)
    parts = np.atleast_2d(planned.volume().parts ** 2).mean(axis=0)
    rectangular = [q.shape == "rectangular" for q in planned.state.unknowns]
    ignoring = shape.volume(really(np.full(pistons, target_depth), z1), old=old, t0=t0)
    return Result(first, final, ignoring, mean, u, progress, form, last, (parts / parts.sum())[rectangular])


def share(flags):
    """Share of true flags and its standard error, from sets of four (its pistons are not independent)."""
    by_set = np.asarray(flags, dtype=float).reshape(-1, SET).mean(axis=1)
    return float(by_set.mean()), float(by_set.std() / np.sqrt(len(by_set)))
