"""What readings teach: a linear-Gaussian estimate over separate unknowns.

Every unknown is an error with mean 0, a standard uncertainty and a shape. Everything seen or wanted is a
linear combination of them, its *gradient*: a mapping from the unknown's name to the change per unit of it.
The measuring errors are unknowns too, so an observation is exact in them, and the error of the estimate
stays a known combination of the original, independent parts. Its covariance is a product of a matrix with
its own transpose: it cannot lose its symmetry or become negative.

Linear propagation and shapes follow JCGM 100 (4.3, 5.1), chances JCGM 101 (a fixed sample of the parts).
A mean may carry leading axes (many pistons at once); the last axis is always the unknowns.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

FloatArray: TypeAlias = npt.NDArray[np.float64]
Gradient: TypeAlias = Mapping[str, float | FloatArray]
Shape = Literal["normal", "rectangular"]

SAMPLE = 8_191  # a prime; chances of made-up cuts were then right to 0.4 % against a million random draws
GENERATOR = (
    1_425  # of the lattice: of all it has the least P2 in six dimensions (Sloan and Joe, 1994; from memory)
)
SPREAD = math.sqrt(3.0)  # standard deviations from the middle of a rectangle to its end (JCGM 100, 4.3.7)
LEAST = 1e-9  # mm3; a normal part as small as this is none
NEVER = 1e-6  # a chance as small as this is none

SURE = 3.5  # standard uncertainties: a normal value lies outside once in 2,000, which no whole percent shows


@dataclass(frozen=True, slots=True)
class Unknown:
    """One error: `u` is its standard uncertainty in `unit`, `source` says where that number comes from.

    Raises ValueError when u is negative or not finite.
    """

    name: str
    u: float
    unit: str = "mm"
    shape: Shape = "normal"
    source: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.u) and self.u >= 0):
            raise ValueError(f"the standard uncertainty of {self.name} is {self.u}; it must be 0 or more")


class Prediction(NamedTuple):
    """A quantity as it is now known: `mean`, and the independent parts of its error.

    `parts` (..., n) are signed, one for each of `unknowns`, in the unit of the mean: coefficient times
    standard uncertainty.
    """

    unknowns: tuple[Unknown, ...]
    mean: FloatArray
    parts: FloatArray

    @property
    def u(self) -> FloatArray:
        """Standard uncertainty: the root of the sum of the squared parts (JCGM 100, 5.1.2)."""
        return np.asarray(np.sqrt((self.parts * self.parts).sum(axis=-1)), dtype=np.float64)

    def over(self, unknowns: tuple[Unknown, ...]) -> "Prediction":
        """The same among more unknowns, its own first; the further ones have no part in it."""
        more = np.zeros((*self.parts.shape[:-1], len(unknowns) - len(self.unknowns)))
        return Prediction(unknowns, self.mean, np.concatenate([self.parts, more], axis=-1))


class Linear(NamedTuple):
    """A quantity as it answers to the unknowns: `nominal` plus the gradient's combination of them."""

    nominal: float | FloatArray
    gradient: Gradient


class State(NamedTuple):
    """What is known about the unknowns: `mean` (..., n), and `error` (..., n, n).

    The estimate's error, unknown minus mean, is `error` times the unknowns themselves.
    """

    unknowns: tuple[Unknown, ...]
    mean: FloatArray
    error: FloatArray

    @classmethod
    def start(cls, *unknowns: Unknown) -> "State":
        """Nothing read yet: every mean is 0."""
        return cls((), np.zeros(0), np.zeros((0, 0))).extended(*unknowns)

    @property
    def sigma(self) -> FloatArray:
        """Standard uncertainties (n,) before any reading."""
        return np.array([q.u for q in self.unknowns])

    @property
    def covariance(self) -> FloatArray:
        """Covariance (..., n, n) of the unknowns as they are now known."""
        root = self.error * self.sigma
        return np.asarray(root @ np.swapaxes(root, -1, -2))

    def extended(self, *unknowns: Unknown) -> "State":
        """The same with further unknowns that have nothing to do with the ones before.

        Raises ValueError when a name is there already.
        """
        names = [q.name for q in (*self.unknowns, *unknowns)]
        if len(set(names)) < len(names):
            raise ValueError(f"two unknowns have the same name: {', '.join(names)}")
        old, new = len(self.unknowns), len(unknowns)
        mean = np.concatenate([self.mean, np.zeros((*self.mean.shape[:-1], new))], axis=-1)
        error = np.zeros((*self.error.shape[:-2], old + new, old + new))
        error[..., :old, :old] = self.error
        error[..., old:, old:] = np.eye(new)
        return State((*self.unknowns, *unknowns), mean, error)

    def predict(self, gradient: Gradient, nominal: float | FloatArray = 0.0) -> Prediction:
        """`nominal` plus the gradient's combination of the unknowns, as now known."""
        g = self._vector(gradient)
        mean = np.asarray(nominal + (g * self.mean).sum(axis=-1))
        return Prediction(self.unknowns, mean, self._combine(g) * self.sigma)

    def larger(self, before: Linear, new: Linear, name: str, unit: str) -> tuple["State", Linear]:
        """The larger of two quantities as the line that is right in the mean; what it leaves is `name`.

        No line is the larger of two everywhere. The best one weighs the two gradients by the chance of each to
        be the larger (Clark 1961: the covariance of the larger with any third normal value), has the mean of
        the larger, and leaves an error of its own, uncorrelated with all others: one more unknown, so that
        the variance is the true one. Where `new` is larger for certain it is that line itself.
        """
        one, other = self.predict(before.gradient, before.nominal), self.predict(new.gradient, new.nominal)
        weight, mean, u = _clark(one, other)
        if np.all(weight >= 1.0 - NEVER):
            return self, new
        gradient = {
            q: (1.0 - weight) * before.gradient.get(q, 0.0) + weight * new.gradient.get(q, 0.0)
            for q in dict.fromkeys((*before.gradient, *new.gradient))
        }
        line = self.predict(gradient)
        left = np.sqrt(np.maximum(u**2 - line.u**2, 0.0))
        most = float(np.max(left))
        share = left / most if most > 0 else left
        state = self.extended(Unknown(name, most, unit, source="the line through the deeper of two cuts"))
        return state, Linear(mean - line.mean, {**gradient, name: share})

    def observe(self, gradient: Gradient, value: float | FloatArray) -> "State":
        """After `value` was seen for the gradient's combination, the measuring errors included in it.

        Where that combination was certain already, the value teaches nothing and is left aside.
        """
        g = self._vector(gradient)
        row = self._combine(g)
        parts = row * self.sigma
        variance = (parts * parts).sum(axis=-1)[..., None]
        shared = ((self.error * self.sigma) @ parts[..., None])[..., 0]
        gain = shared / np.where(variance > 0, variance, 1.0)
        surprise = np.asarray(value - (g * self.mean).sum(axis=-1))[..., None]
        error = self.error - gain[..., :, None] * row[..., None, :]
        return self._replace(mean=self.mean + gain * surprise, error=error)

    def _vector(self, gradient: Gradient) -> FloatArray:
        names = [q.name for q in self.unknowns]
        if strangers := set(gradient) - set(names):
            raise ValueError(f"not among the unknowns: {', '.join(sorted(strangers))}")
        columns = [np.asarray(gradient.get(name, 0.0)) for name in names]
        return np.stack(np.broadcast_arrays(*columns), axis=-1)

    def _combine(self, g: FloatArray) -> FloatArray:
        return np.asarray((g[..., None, :] @ self.error)[..., 0, :])


def normal_cdf(z: FloatArray) -> FloatArray:
    """Distribution function of the standard normal, element by element; NormalDist.cdf loses the lower tail."""
    return np.asarray(np.vectorize(math.erfc)(-z / math.sqrt(2.0)) / 2.0)


def deeper(current: Prediction, planned: Prediction) -> tuple[FloatArray, FloatArray]:
    """Mean and standard uncertainty of the larger of two predictions, the second of a later state.

    The finished form is the deeper of two cuts, metal does not go back.
    """
    _, mean, u = _clark(current.over(planned.unknowns), planned)
    return mean, u


def _clark(current: Prediction, planned: Prediction) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Chance that the second of two is the larger, and mean and standard uncertainty of the larger.

    C. E. Clark, "The greatest of a finite set of random variables", Operations Research 9 (1961): exact for
    normal parts.
    """
    gap = planned.mean - current.mean
    a = np.sqrt(((planned.parts - current.parts) ** 2).sum(axis=-1))
    certain = a <= 1e-12
    z = np.where(certain, np.sign(gap) * 40.0, gap / np.where(certain, 1.0, a))
    weight = normal_cdf(z)
    bell = a * np.exp(-z * z / 2.0) / math.sqrt(2.0 * math.pi)
    # measured from the planned mean, so that no large squares are subtracted
    mean = -gap * (1.0 - weight) + bell
    square = planned.u**2 * weight + (gap**2 + current.u**2) * (1.0 - weight) - gap * bell
    u = np.sqrt(np.maximum(square - mean**2, 0.0))
    return np.asarray(weight), np.asarray(planned.mean + mean), np.asarray(u)


def chance_within(low: float, high: float, *of: Prediction) -> float:
    """Chance that the largest of some predictions, the last one of the latest state, lies in [low, high].

    Rectangular parts are taken as rectangular (JCGM 101), and a sample of them is drawn; one normal part is the
    last prediction's own, and for that the chance is known. The sample is fixed: same question, same answer.
    """
    if _surely_within(low, high, *of):
        return 1.0
    low, high = low - 10 * LEAST, high + 10 * LEAST  # what is certain and on a limit is within
    unknowns = of[-1].unknowns
    parts = np.stack([p.over(unknowns).parts for p in of])
    normal = np.array([q.shape == "normal" for q in unknowns])
    few = _fewest(parts[:, normal])
    drawn = _draws(len(of) - 1, len(unknowns) - int(normal.sum()))
    centres = np.stack([p.mean for p in of]) + drawn @ np.hstack((few[:, :-1], parts[:, ~normal])).T
    before, last = centres[:, :-1].max(axis=1, initial=-math.inf), centres[:, -1]
    u = max(abs(few[-1, -1]), LEAST)
    within = normal_cdf((high - last) / u) - np.where(before < low, normal_cdf((low - last) / u), 0.0)
    return float(np.where(before <= high, within, 0.0).mean())


def _fewest(parts: FloatArray) -> FloatArray:
    """Normal parts (K, N) of K predictions as K parts (K, K) with the same covariance, each in no earlier one."""
    square = np.zeros((len(parts), len(parts)))
    return np.asarray(np.linalg.qr(np.vstack((parts.T, square)), mode="r")).T


def _surely_within(low: float, high: float, *of: Prediction) -> bool:
    """Whether `SURE` standard uncertainties keep the last inside and none above: nothing to draw then."""
    last = of[-1]
    above = (float(p.mean) + SURE * float(p.u) <= high for p in of)
    return float(last.mean) - SURE * float(last.u) >= low and all(above)


@lru_cache(maxsize=8)
def _draws(normal: int, rectangular: int) -> FloatArray:
    """Values of so many parts, (SAMPLE, parts), spread evenly by a lattice: N. M. Korobov's good points (1959).

    Every part takes each of SAMPLE equally likely values once. The import of a random generator alone takes longer.
    """
    place = np.arange(SAMPLE)
    columns = np.empty((normal + rectangular, SAMPLE))
    for k, column in enumerate(columns):
        column[:] = (_quantiles() if k < normal else _even())[place]
        place = place * GENERATOR % SAMPLE
    return columns.T


def _even() -> FloatArray:
    """SAMPLE equally likely values of a rectangular part, in order."""
    return SPREAD * (2.0 * np.arange(SAMPLE) + 1.0 - SAMPLE) / SAMPLE


@lru_cache(maxsize=1)
def _quantiles() -> FloatArray:
    """SAMPLE equally likely values of a normal part, in order."""
    lower = np.array([NormalDist().inv_cdf((k + 0.5) / SAMPLE) for k in range(SAMPLE // 2)])
    return np.concatenate((lower, [0.0], -lower[::-1]))
