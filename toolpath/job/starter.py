"""The starter job that `dishpath new` writes, and the questions it asks on a terminal."""

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from toolpath.errors import InputError
from toolpath.reference import folder
from toolpath.units import length_from_text

FIRST_SAMPLE: Final = "pump-engine"  # the one in which every key stands with a comment


@dataclass(frozen=True, slots=True)
class Question:
    """One question about the job: its key, words, and what may be answered (limits in `unit`)."""

    key: str
    text: str
    unit: str = ""  # "mm" also takes text with its own unit
    default: str = ""  # as it would be typed; what an empty answer means
    low: float | None = None  # None: the answer is text
    high: float | None = None
    choices: tuple[str, ...] = ()
    whole: bool = False
    unless: tuple[str, str] | None = None  # not asked where this key was answered so

    @property
    def prompt(self) -> str:
        """The question with the unit or the choices it wants."""
        wants = ", ".join(self.choices) or self.unit
        return f"{self.text} ({wants})" if wants else self.text

    def literal(self, answer: str) -> str:
        """The answer, or the default where it is empty, as TOML.

        Raises:
            ValueError: it is none of the choices, not a number, or outside the limits.

        >>> Question("piston.crown_diameter", "Crown diameter", "mm", "90.4", 20, 300).literal("3.56 in")
        '"3.56 in"'
        """
        answer = answer.strip() or self.default
        if self.choices and answer not in self.choices:
            raise ValueError(f"{answer} is not one of {', '.join(self.choices)}")
        if self.low is None or self.high is None:
            return json.dumps(answer, ensure_ascii=False)
        try:
            value, literal = float(answer), answer
        except ValueError:
            if self.unit != "mm":
                raise ValueError(f"{answer} is not a number; answer a number in {self.unit}") from None
            value, literal = length_from_text(answer), json.dumps(answer, ensure_ascii=False)
        if not self.low <= value <= self.high:
            raise ValueError(f"{answer} is outside {self.low:g} to {self.high:g} {self.unit}")
        if self.whole and not value.is_integer():
            raise ValueError(f"{answer} is not a whole number")
        return literal


NO_OLD_DISH: Final = ("existing.form", "none")

QUESTIONS: Final[tuple[Question, ...]] = (
    Question("title", "What is the job called?", default="Pump engine, four pistons"),
    Question("piston.count", "How many pistons?", "pistons", "4", 1, 10_000, whole=True),
    Question(
        "piston.material",
        "What are they made of?",
        default="aluminium-silicon",
        choices=("aluminium-silicon", "aluminium-silicon-hypereutectic", "forged-aluminium", "cast-iron"),
    ),
    Question("piston.crown_diameter", "Diameter of the crown's edge?", "mm", "90.4", 20, 600),
    Question("piston.underside_depth", "Crown to underside, on the axis?", "mm", "13.5", 2, 200),
    Question("piston.min_floor", "Least floor to leave?", "mm", "6.0", 0.5, 100),
    Question("piston.top_land", "Crown to the top ring groove?", "mm", "8.0", 1, 100),
    Question("piston.min_top_land", "Least top land to leave?", "mm", "6.5", 0.5, 100),
    Question("existing.form", "Form of the old dish?", default="spherical", choices=("none", "spherical")),
    Question("existing.mouth_diameter", "Its mouth diameter?", "mm", "64.0", 1, 600, unless=NO_OLD_DISH),
    Question("existing.volume_cc", "What does it hold?", "cc", "9.3", 0.01, 10_000, unless=NO_OLD_DISH),
    Question("crown.skim", "How much to skim off the crown?", "mm", "0.5", 0, 20),
    Question("dish.volume_cc", "What must the finished dish hold?", "cc", "11.6", 0.01, 10_000),
    Question("dish.mouth_diameter", "Its mouth diameter?", "mm", "68.0", 1, 600),
    Question("tool.insert", "Designation of the round insert?", default="RCGT 10T3 M0"),
    Question(
        "machine.post",
        "Which control, or dro-table for a manual lathe?",
        default="iso6983",
        choices=("iso6983", "system-a", "rs274ngc", "dro-table"),
    ),
)


def starter(like: str | None = None) -> str:
    """Text of a commented job file: the sample of that name, or the fully commented one.

    Raises:
        InputError: there is no such sample; lists those there are.
    """
    samples = {path.stem: path for path in folder("samples").glob("*.toml")}
    if (like or FIRST_SAMPLE) not in samples:
        raise InputError(
            f"there is no sample {json.dumps(like)}; the known ones are {', '.join(sorted(samples))}"
        )
    return samples[like or FIRST_SAMPLE].read_text(encoding="utf-8")


def interview(ask: Callable[[Question], str], refuse: Callable[[str], None]) -> dict[str, str]:
    """Ask the questions in order, each until its answer will do; the answers as TOML, by key.

    `ask` gives what was typed, `refuse` is told why that will not do. Questions that an earlier
    answer makes meaningless are left out.
    """
    answers: dict[str, str] = {}
    for question in QUESTIONS:
        if question.unless and answers.get(question.unless[0]) == json.dumps(question.unless[1]):
            continue
        while question.key not in answers:
            try:
                answers[question.key] = question.literal(ask(question))
            except ValueError as error:
                refuse(str(error))
    return answers


def answered(answers: Mapping[str, str]) -> str:
    """The starter with the answers in place of its own values.

    `answers` holds TOML literals (`Question.literal`) by key. A value that an answer makes
    meaningless, such as the mouth of a dish that does not exist, becomes a comment.
    """
    dropped = {q.key for q in QUESTIONS if q.unless and answers.get(q.unless[0]) == json.dumps(q.unless[1])}
    if dropped:
        dropped.add("existing.volume_from")
    lines = []
    table = ""
    for line in starter().splitlines():
        if head := re.match(r"\[(\w+)\]", line):
            table = f"{head[1]}."
        stated = re.match(r"(\w+) = ", line)
        key = table + stated[1] if stated else ""
        if key in dropped:
            line = f"# {line}"
        elif stated and key in answers:
            line = _with_value(line, stated[1], answers[key])
        lines.append(line)
    return "\n".join(lines) + "\n"


def _with_value(line: str, key: str, literal: str) -> str:
    """The line with another value, its comment in the old column where there is room."""
    comment = re.search(r"  +(#.*)$", line)
    stated = f"{key} = {literal}"
    return f"{stated:<{comment.start(1) - 2}}  {comment[1]}" if comment else stated
