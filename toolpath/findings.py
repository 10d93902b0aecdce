"""A finding: what a check saw, against which limit, and what to do about it."""

from collections.abc import Callable, Iterable
from typing import Literal, NamedTuple, TypeVar

from toolpath.errors import StopError
from toolpath.units import Units, sentence_in, told

T = TypeVar("T")

Severity = Literal["refused", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("refused", "warning", "note")


class Finding(NamedTuple):
    """One result of a check.

    `value` and `limit` are in `unit` (a word such as "mm", "cc", "deg"); both may be None
    where a check has no number. A finding of severity "refused" means that no program is written.
    """

    severity: Severity
    code: str  # lower-case words with hyphens, stable: tests and other programs match on it
    what: str  # one sentence: the thing and what is wrong with it
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    advice: str = ""

    def line(self, units: Units = "mm") -> str:
        """The finding on one line, lengths in `units`: severity, what, value and limit, advice."""
        text = f"{self.severity}: {sentence_in(self.what, units)}"
        if self.value is not None:
            text += f": {self._shown(self.value, units)}"
            if self.limit is not None:
                text += f" (limit {self._shown(self.limit, units)})"
        return f"{text}; {sentence_in(self.advice, units)}" if self.advice else text

    def _shown(self, value: float, units: Units) -> str:
        return " ".join(told(value, self.unit, units)).rstrip()


def by_urgency(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """What forbids a program, what must be done or looked at before the cut, and what is good to know."""
    return tuple(sorted(findings, key=lambda f: (SEVERITIES.index(f.severity), not f.advice)))


def stops(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Only the findings that forbid a program."""
    return tuple(f for f in findings if f.severity == "refused")


class Stopped(StopError):  # noqa: N818 - it carries a finding; the user made no error
    """Raised where a shape cannot be, with the finding that says why; caught by `attempt` alone."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.line())
        self.finding = finding


def attempt(make: Callable[[], T]) -> T | Finding:
    """What `make` gives, or the finding that forbids it: how shapes are tried that perhaps cannot be."""
    try:
        return make()
    except Stopped as stopped:
        return stopped.finding
