"""From readings to the next cut: how far the first may go, where the last must aim, what may be hoped for.

Depth errors under the finished crown, one rule for every cut: the same fixing adds the machine's repeat to
the error before, a refit with the zero kept adds seat and repeat, a noted zero besides the two touches
on the fixture's face whose difference is taken up, a fresh touch starts again with touch-off and repeat. The
skim's own touch-off cancels out of them and enters through the old dish still showing.
"""

from collections.abc import Mapping, Sequence
from statistics import NormalDist
from types import MappingProxyType
from typing import Any, Literal, NamedTuple

import numpy as np

from toolpath.errors import InputError
from toolpath.uncertainty.budget import Burette, Sensitivities, SetupUncertainty, Zero
from toolpath.uncertainty.estimate import (
    FloatArray,
    Gradient,
    Linear,
    Prediction,
    State,
    Unknown,
    chance_within,
    deeper,
)
from toolpath.units import cc

OVERSHOOT = 0.005  # largest chance that the first cut passes the target
QUANTILE = NormalDist().inv_cdf(1 - OVERSHOOT)
LEAST_CHANCE = 0.95  # a tolerance is in reach when it is kept this often


class Form(NamedTuple):
    """A nominal section: the volume seen (mm3), how it answers to errors, dish depth and mouth (mm).

    `mouth_z` and `mouth_insert` are mm of mouth diameter per mm of depth error and of insert radius.

    A section that answers unevenly to the old dish is worked out again where the readings put it: with the
    old dish larger by o, `volume` is V(o) - answers.old * o: it still belongs to the nominal old dish.
    """

    volume: float | FloatArray
    answers: Sensitivities
    depth: float = 0.0
    mouth: float = 0.0
    mouth_z: float = 0.0
    mouth_insert: float = 0.0


Seen = Literal["volume", "depth", "mouth"]
UNITS: dict[Seen, str] = {"volume": "mm3", "depth": "mm", "mouth": "mm"}

AS_RECEIVED = Sensitivities(old=1.0)
NOTHING: Mapping[Any, Any] = MappingProxyType({})


class Progress(NamedTuple):
    """One piston on its way: what was cut, and what is known after the readings so far.

    `depth_error` is that of the latest cut, `error_before` that of the cut before it, both under the finished
    crown. `before` is what stood before the latest cut, `standing` the deeper of that and the latest cut, as far
    as it was worked out: volume, depth and mouth, each as it answers to the unknowns. Every step returns a new
    value. Readings may be arrays, one a piston, for pistons with the same cuts.
    """

    setup: SetupUncertainty
    burette: Burette | None
    state: State
    form: Form
    depth_error: Gradient
    error_before: Gradient = NOTHING
    before: Mapping[Seen, Linear] = NOTHING
    standing: Mapping[Seen, Linear] = NOTHING
    cuts: int = 0
    readings: int = 0

    @classmethod
    def start(cls, setup: SetupUncertainty, burette: Burette | None, as_received: Form) -> "Progress":
        """The piston as received; its sensitivities are `AS_RECEIVED`."""
        unknowns = [
            setup.unknown("skim touch-off", "touch_off"),
            setup.unknown("x touch", "x_touch"),
            setup.unknown("insert radius", "insert_radius"),
            setup.unknown("old dish", "old_dish"),
        ]
        if setup.slide_angle > 0:  # set once, so the same in every cut
            unknowns.append(setup.unknown("top slide angle", "slide_angle"))
        if burette:
            unknowns.append(burette.calibration())
        return cls(setup, burette, State.start(*unknowns), as_received, {})

    def skimmed(self, form: Form) -> "Progress":
        """After the skim, before any dish cut; z, x and insert of its sensitivities are 0."""
        return self._replace(form=form)

    def cut(self, form: Form, zero: Zero) -> "Progress":
        """After a dish cut whose nominal finished section is `form`."""
        number = self.cuts + 1
        new = [self.setup.unknown(f"repeat {number}", "repeat")]
        if zero in ("kept", "noted"):
            new.append(self.setup.unknown(f"refit {number}", "refit"))
        if zero == "noted":
            new.append(self.setup.unknown(f"face touch {number}", "face_touch", times=2))
        elif zero == "fresh":
            new.append(self.setup.unknown(f"touch-off {number}", "touch_off"))
        before = {} if zero == "fresh" else self.depth_error
        depth_error = {**before, **{q.name: 1.0 for q in new}}
        state = self.state.extended(*new)
        return self._replace(
            state=state,
            form=form,
            depth_error=depth_error,
            error_before=self.depth_error,
            before={what: self._line(what) for what in UNITS} if self.cuts else {},
            standing={},
            cuts=number,
        )

    def volume(self) -> Prediction:
        """The volume of the latest cut, mm3, as now known; once it was read, of what stands."""
        line = self._line("volume")
        return self.state.predict(line.gradient, line.nominal)

    def volume_gradient(self) -> Gradient:
        """Change of that volume per unit of each unknown."""
        return self._line("volume").gradient

    def as_it_stands(self, what: Seen = "volume") -> "Progress":
        """The same, with the deeper of the latest cut and what stood before worked out, as a reading sees it.

        A cut that lies higher than meant, by no more than a touch-off does, leaves the one before standing: its
        reading then tells of that one, and little of where the new zero lies.
        """
        if what in self.standing or what not in self.before:
            return self
        name = f"{what} left by cut {self.cuts - 1}"
        state, line = self.state.larger(self.before[what], self._line(what), name, UNITS[what])
        return self._replace(state=state, standing={**self.standing, what: line})

    def _line(self, what: Seen) -> Linear:
        if what in self.standing:
            return self.standing[what]
        form, a = self.form, self.form.answers
        depth, before = self.depth_error, self.error_before
        if what == "depth":
            return Linear(form.depth, depth)
        if what == "mouth":
            errors = {name: form.mouth_z * c for name, c in depth.items()}
            return Linear(form.mouth, {**errors, "x touch": 2.0, "insert radius": form.mouth_insert})
        names = dict.fromkeys((*depth, *before))  # in the order of the cuts
        slide = {"top slide angle": a.angle} if self.setup.slide_angle > 0 else {}
        gradient = {
            **slide,
            **{name: a.z * depth.get(name, 0.0) + a.stand * before.get(name, 0.0) for name in names},
            "x touch": a.x,
            "insert radius": a.insert,
            "old dish": a.old,
            "skim touch-off": -a.show,  # a deeper skim leaves less of what still shows
        }
        return Linear(form.volume, gradient)

    def read_volume(self, volume: float | FloatArray) -> "Progress":
        """After the burette gave `volume` mm3 for what stands.

        Raises InputError when no burette was stated.
        """
        if self.burette is None:
            raise InputError("a volume was read but no burette is stated; add [burette] to the job")
        noise = self.burette.scale_reading(self.readings + 1)
        return self.as_it_stands("volume")._read("volume", volume, noise, {"burette": 1.0})

    def read_depth(self, depth: float | FloatArray) -> "Progress":
        """After a depth micrometer gave `depth` mm from the finished crown to the floor.

        Raises InputError before the first dish cut: only a cut floor tells where the tool was.
        """
        if not self.cuts:
            raise InputError("a depth was read before the dish was cut; read it after the first or last cut")
        noise = self.setup.unknown(f"depth reading {self.readings + 1}", "depth_reading")
        return self.as_it_stands("depth")._read("depth", depth, noise)

    def read_mouth(self, mouth: float | FloatArray) -> "Progress":
        """After the mouth diameter was measured as `mouth` mm.

        Raises InputError before the first dish cut.
        """
        if not self.cuts:
            raise InputError("a mouth was read before the dish was cut; read it after the first or last cut")
        noise = self.setup.unknown(f"mouth reading {self.readings + 1}", "mouth_reading")
        return self.as_it_stands("mouth")._read("mouth", mouth, noise)

    def _read(
        self, what: Seen, value: float | FloatArray, noise: Unknown, bias: Gradient | None = None
    ) -> "Progress":
        line = self._line(what)
        gradient = {**line.gradient, **(bias or {}), noise.name: 1.0}
        state = self.state.extended(noise).observe(gradient, value - line.nominal)
        return self._replace(state=state, readings=self.readings + 1)


def carry_over(progress: Progress, form: Form, zero: Zero) -> FloatArray:
    """What the readings say the next cut will add to its nominal volume, mm3 (the
    covariance of the two cuts' errors over the variance of the reading, times the reading's surprise)."""
    return np.asarray(progress.cut(form, zero).volume().mean - form.volume)


def first_target(progress: Progress, form: Form, zero: Zero, target: float) -> FloatArray:
    """Nominal volume (mm3) of the deepest cut whose chance to pass `target` is at most OVERSHOOT.

    `form` is the cut at about that depth; its volume does not count, only how it answers. The normal quantile
    is used: with rectangular parts of the same variance the true chance is smaller, never larger.
    """
    cut = progress.cut(form, zero).volume()
    margin = QUANTILE * cut.u
    return np.asarray(target - (cut.mean - form.volume) - margin)


def last_target(progress: Progress, form: Form, zero: Zero, target: float) -> FloatArray:
    """Nominal volume (mm3) at which the last cut must aim so that the target is expected: target less
    carry-over. Not above the present nominal volume: nothing is left to cut."""
    return np.asarray(target - carry_over(progress, form, zero))


class Expected(NamedTuple):
    """What a stage leaves: volume and its standard uncertainty in mm3; chance to be within the tolerance."""

    volume: float
    u: float
    chance: float

    @property
    def interval(self) -> tuple[float, float]:
        """The volume with k = 2, mm3."""
        return self.volume - 2 * self.u, self.volume + 2 * self.u


def expected(
    progress: Progress, target: float, tolerance: float, planned: Progress | None = None
) -> Expected:
    """The present section, or the deeper of it and `planned` (progress.cut(...), its form solved)."""
    now = progress.volume()
    if planned is None:
        return _outcome([now], target, tolerance)
    return _outcome([now, planned.volume()], target, tolerance)


def ahead(
    progress: Progress, cuts: Sequence[tuple[Form, Zero]], target: float, tolerance: float, readings: int = 1
) -> Expected:
    """What cuts to come will leave: all but the last stop short at their first target and are read
    `readings` times, the last aims at `target`. Their forms are the sections at about these depths."""
    piston = progress
    short = [progress.volume()] if progress.cuts else []
    for form, zero in cuts[:-1]:
        aim = float(first_target(piston, form, zero, target))
        piston = piston.cut(form._replace(volume=aim), zero).as_it_stands()
        short.append(piston.volume())
        for _ in range(readings):
            # the value does not matter, only that it will be known
            piston = piston.read_volume(piston.volume().mean)
    form, zero = cuts[-1]
    last = piston.cut(form, zero).volume()._replace(mean=np.asarray(target))
    return _outcome([*short, last], target, tolerance)


def another_is_wiser(
    progress: Progress, form: Form, zero: Zero, target: float, tolerance: float
) -> str | None:
    """A sentence when a further short cut, read and followed with the zero kept, is wiser than the last cut.

    That is so when the last cut alone keeps the tolerance less often than LEAST_CHANCE, there is still room
    to cut short, and the detour gains at least 2 points.
    """
    direct = ahead(progress, [(form, zero)], target, tolerance).chance
    room = float(first_target(progress, form, zero, target)) - float(np.asarray(progress.form.volume))
    if direct >= LEAST_CHANCE or room <= 0 or progress.burette is None:
        return None
    detour = ahead(progress, [(form, zero), (form, "kept")], target, tolerance).chance
    if detour < direct + 0.02:
        return None
    return (
        f"the last cut alone ends within {cc(tolerance):g} cc of {cc(target):.2f} cc in {direct:.0%} "
        f"of cases; another short cut, read and then corrected with the zero kept, in {detour:.0%}"
    )


def _outcome(of: list[Prediction], target: float, tolerance: float) -> Expected:
    """The largest of the sections, the last two of which decide mean and u."""
    last = of[-1]
    volume, u = deeper(of[-2], last) if len(of) > 1 else (last.mean, last.u)
    return Expected(float(volume), float(u), chance_within(target - tolerance, target + tolerance, *of))
