"""A finding: what a check saw, against which limit, and what to do about it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal, TypeVar

from toolpath.errors import StopError

T = TypeVar("T")

Severity = Literal["refused", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("refused", "warning", "note")


@dataclass(frozen=True, slots=True)
class Finding:
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

    def line(self, *, inch: bool = False) -> str:
        """The finding on one line: severity, what, value and limit with their unit, advice.

        `inch` shows lengths in inches beside the millimetres.
        """
        text = f"{self.severity}: {self.what}"
        if self.value is not None:
            text += f": {self._shown(self.value, inch)}"
            if self.limit is not None:
                text += f" (limit {self._shown(self.limit, inch)})"
        return f"{text}; {self.advice}" if self.advice else text

    def _shown(self, value: float, inch: bool) -> str:
        text = f"{value:.4g} {self.unit}".rstrip()
        return f"{value / 25.4:.4f} in = {text}" if inch and self.unit == "mm" else text


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
