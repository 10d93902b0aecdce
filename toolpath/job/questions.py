"""The questions that `dishpath new` asks on a terminal, and their answers as a job file has them."""

import json
import re
import tomllib
from collections.abc import Callable, Mapping
from typing import Any, Final, Literal, NamedTuple

from toolpath.job.types import UNIT_WORDS, Measure
from toolpath.units import Units, length_from_text, metres_per, mm_per, point_for_comma

Ask = Callable[[str, str], str]  # prompt and what an empty answer takes; gives what was typed
Answers = Mapping[str, str]  # TOML literals by key

_TOML_NUMBER: Final = r"(0|[1-9][0-9]*)(\.[0-9]+)?"
HOW: Final = (
    "Enter alone takes what stands in [brackets] or leaves the line out. "
    "Lengths also with their own unit: 30 thou, 0.75 mm, 2-3/8 in."
)


class Question(NamedTuple):
    """One question about the job: its key, its words, and what may be answered.

    The limits are in mm, mm/rev, m/min, cc, degrees or rev/min. `needs` is the key and the answers to it
    without which the question means nothing (None: no answer).
    """

    key: str
    text: str
    kind: Measure | Literal["text", "choice", "count"] = "text"
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()
    optional: bool = False  # an empty answer leaves the line out
    offered: bool = False  # an empty answer takes what the sample has
    needs: tuple[tuple[str, tuple[str | None, ...]], ...] = ()
    unit: str = ""  # of a plain number

    def applies(self, answers: Answers) -> bool:
        """Whether what was answered before leaves the question a meaning."""
        return all(
            (None if key not in answers else json.loads(answers[key])) in wanted for key, wanted in self.needs
        )

    def prompt(self, units: Units) -> str:
        """The question with the unit or the choices it wants."""
        wants = ", ".join(self.choices) or self._unit(units)
        more = "Enter: not stated" if self.optional else ""
        inside = "; ".join(part for part in (wants, more) if part)
        return f"{self.text} ({inside})" if inside else self.text

    def literal(self, answer: str, units: Units) -> str:
        """An answer as TOML.

        Raises:
            ValueError: it is none of the choices, not a number, or outside the limits.

        >>> Question("piston.crown_diameter", "Crown?", "length", 20, 300).literal("3-9/16 in", "mm")
        '"3-9/16 in"'
        """
        if not answer:
            raise ValueError("this one is needed; a figure or word must be given")
        if self.kind == "choice" and answer not in self.choices:
            raise ValueError(f"{answer} is not one of {', '.join(self.choices)}")
        if self.kind in ("text", "choice"):
            return json.dumps(answer, ensure_ascii=False)
        value, literal = self._number(answer, units)
        if not self.low <= value <= self.high:
            limits = (f"{limit / self._per(units):.5g}" for limit in (self.low, self.high))
            raise ValueError(f"{answer} is outside {' to '.join(limits)} {self._unit(units)}")
        if self.kind == "count" and not value.is_integer():
            raise ValueError(f"{answer} is not a whole number")
        return literal

    def _number(self, answer: str, units: Units) -> tuple[float, str]:
        """The value inside, and the literal that says it."""
        try:
            value = float(answer)
        except ValueError:
            if self.kind != "length":
                raise ValueError(
                    f"{answer} is not a number; answer a number in {self._unit(units)}"
                ) from None
            return length_from_text(answer, units), json.dumps(answer, ensure_ascii=False)
        return value * self._per(units), answer if re.fullmatch(_TOML_NUMBER, answer) else repr(value)

    def _unit(self, units: Units) -> str:
        if self.kind in UNIT_WORDS and not self.unit:
            return UNIT_WORDS[self.kind][units == "inch"]
        return self.unit

    def _per(self, units: Units) -> float:
        if self.kind in ("length", "feed"):
            return mm_per(units)
        return metres_per(units) if self.kind == "speed" else 1.0

    def offer(self, sample: Mapping[str, Any], units: Units) -> str:
        """What the sample answers, as it would be typed in `units`; "" where nothing is offered."""
        if not self.offered:
            return ""
        table, _, key = self.key.rpartition(".")
        stated = (sample.get(table, {}) if table else sample).get(key)
        if self.kind in ("text", "choice"):
            return str(stated) if stated in self.choices or not self.choices else self.choices[0]
        if stated is None:
            return ""
        if sample["units"] == units and not isinstance(stated, str):
            return str(stated)
        inside = length_from_text(stated) if isinstance(stated, str) else stated * self._per(sample["units"])
        return f"{float(f'{inside / self._per(units):.2g}'):g}"


OLD_DISH: Final = ("existing.form", ("spherical", "flat"))
QUESTIONS: Final[tuple[Question, ...]] = (
    Question("units", "Which units will this job speak?", "choice", choices=("mm", "inch"), offered=True),
    Question("title", "What is the job called?", optional=True),
    Question("piston.count", "How many pistons?", "count", 1, 10_000, unit="pistons", optional=True),
    Question(
        "piston.material",
        "What are they made of?",
        "choice",
        choices=("aluminium-silicon", "aluminium-silicon-hypereutectic", "forged-aluminium", "cast-iron"),
        offered=True,
    ),
    Question("piston.crown_diameter", "Diameter of the crown's edge?", "length", 20, 400),
    Question("piston.underside_depth", "Crown to underside, on the axis?", "length", 2, 200, optional=True),
    Question("piston.min_floor", "Least floor to leave?", "length", 0.5, 100, optional=True),
    Question("piston.top_land", "Crown to the top ring groove?", "length", 1, 100, optional=True),
    Question("piston.min_top_land", "Least top land to leave?", "length", 0.5, 100, optional=True),
    Question(
        "existing.form",
        "Form of the old dish?",
        "choice",
        choices=("spherical", "flat", "none"),
        offered=True,
    ),
    Question(
        "existing.mouth_diameter", "Mouth diameter of the old dish?", "length", 1, 400, needs=(OLD_DISH,)
    ),
    Question(
        "existing.corner_radius",
        "Radius between its floor and wall?",
        "length",
        0.01,
        100,
        optional=True,
        needs=(("existing.form", ("flat",)),),
    ),
    Question(
        "existing.volume_cc",
        "What does it hold, by the burette?",
        "volume",
        0.01,
        10_000,
        optional=True,
        needs=(OLD_DISH,),
    ),
    Question(
        "existing.depth",
        "Its depth, then?",
        "length",
        0.01,
        200,
        needs=(OLD_DISH, ("existing.volume_cc", (None,))),
    ),
    Question("crown.skim", "How much to skim off the crown?", "length", 0, 20, optional=True),
    Question(
        "dish.form",
        "Form of the new dish?",
        "choice",
        choices=("flat", "spherical", "tapered", "deepened"),
        offered=True,
    ),
    Question("dish.volume_cc", "What must the finished dish hold?", "volume", 0.01, 10_000),
    Question(
        "dish.mouth_diameter",
        "Mouth diameter of the new dish?",
        "length",
        1,
        400,
        needs=(("dish.form", ("flat", "spherical", "tapered")),),
    ),
    Question(
        "dish.floor_angle",
        "How much does its floor fall towards the axis?",
        "angle",
        0.1,
        45,
        needs=(("dish.form", ("tapered",)),),
    ),
    Question("tool.insert", "Designation of the round insert?", offered=True),
    Question(
        "machine.post",
        "Which control, or dro-table for a manual lathe?",
        "choice",
        choices=("iso6983", "system-a", "rs274ngc", "dro-table"),
        offered=True,
    ),
    Question(
        "speed",
        "One fixed spindle speed, or a constant surface speed?",
        "choice",
        choices=("fixed", "surface"),
    ),
    Question(
        "cutting.surface_speed",
        "Which surface speed?",
        "speed",
        5,
        1500,
        offered=True,
        needs=(("speed", ("surface",)),),
    ),
    Question(
        "cutting.fixed_rpm",
        "Which spindle speed?",
        "number",
        20,
        6000,
        offered=True,
        needs=(("speed", ("fixed",)),),
        unit="rev/min",
    ),
    Question(
        "cutting.rpm_limit",
        "Highest spindle speed that chuck and fixture bear?",
        "number",
        20,
        6000,
        unit="rev/min",
    ),
    Question("cutting.feed", "Feed per revolution?", "feed", 0.01, 1, offered=True),
    Question("cutting.skim_depth_of_cut", "Depth of cut of the skim?", "length", 0.01, 3, offered=True),
    Question("cutting.dish_depth_of_cut", "Depth of cut in the dish?", "length", 0.01, 3, offered=True),
)


def interview(ask: Ask, say: Callable[[str], None], sample: str) -> dict[str, str]:
    """Ask the questions in order, each until its answer will do; the answers as TOML, by key.

    `say` is told why an answer will not do, and how one was taken. `sample` is the text of the job that
    some answers are offered from. What was not answered is not in the result.
    """
    stated = tomllib.loads(sample)
    stated["speed"] = "surface" if "surface_speed" in stated["cutting"] else "fixed"
    units: Units = stated["units"]
    answers: dict[str, str] = {}
    say(HOW)
    for question in QUESTIONS:
        if not question.applies(answers):
            continue
        literal = _answered(question, units, question.offer(stated, units), ask, say)
        if literal is not None:
            answers[question.key] = literal
        if question.key == "units":
            units = json.loads(answers["units"])
    return answers


def _answered(
    question: Question, units: Units, offer: str, ask: Ask, say: Callable[[str], None]
) -> str | None:
    """The first answer that will do; None for a line that is left out."""
    while True:
        answer = ask(question.prompt(units), offer).strip() or offer
        if not answer and question.optional:
            return None
        if question.kind not in ("text", "choice") and (point := point_for_comma(answer)) != answer:
            say(f"{answer} is taken as {point}")
            answer = point
        try:
            return question.literal(answer, units)
        except ValueError as error:
            say(str(error))
