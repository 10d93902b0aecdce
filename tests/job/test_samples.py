"""The samples load, are physically sensible, and the fully commented one shows every key."""

import math
import re

import pytest
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

from toolpath.errors import InputError
from toolpath.job.faults import fields_by_key, table_type
from toolpath.job.load import load
from toolpath.job.model import Job
from toolpath.job.starter import NO_OLD_DISH, QUESTIONS, Question, answered, interview, starter
from toolpath.reference import table
from toolpath.tool.insert import decode

SAMPLES = ("blank-bowl", "four-valve", "pump-engine", "tractor-pair")


def _read(text: str) -> Job:
    return load(
        text,
        name="job.toml",
        known_materials=frozenset(table("materials")),
        known_posts=frozenset({"iso6983", "system-a", "rs274ngc", "dro-table"}),
        insert_radius=lambda designation: decode(designation).radius,
    )


@pytest.mark.parametrize("sample", SAMPLES)
def test_sample_loads(sample: str) -> None:
    job = _read(starter(sample))
    assert job.title
    assert job.crown.skim is not None
    assert job.piston.top_land is not None
    assert job.piston.min_top_land is not None
    assert job.piston.top_land - job.crown.skim >= job.piston.min_top_land


def test_samples_show_every_dialect_and_both_units() -> None:
    jobs = [_read(starter(sample)) for sample in SAMPLES]
    assert {job.machine.post for job in jobs} == {"iso6983", "system-a", "rs274ngc", "dro-table"}
    assert {job.units for job in jobs} == {"mm", "inch"}
    assert {job.existing.form for job in jobs} == {"none", "spherical", "flat", "points"}


def test_four_valve_reading_fits_its_points() -> None:
    # scipy's shape-preserving interpolant through the points, turned about the axis
    job = _read(starter("four-valve"))
    assert job.existing.points is not None
    assert job.existing.volume is not None
    radii = [point[0] / 2 for point in job.existing.points]
    profile = PchipInterpolator(radii, [point[1] for point in job.existing.points])
    dish, _ = quad(lambda r: 2 * math.pi * r * profile(r), 0, radii[-1], limit=200)
    pockets = sum(pocket.volume for pocket in job.pocket)
    assert dish + pockets == pytest.approx(job.existing.volume, abs=60)


def test_starter_shows_every_key() -> None:
    text = starter()
    shown = set()
    inside = ""
    for line in text.splitlines():
        if head := re.match(r"(?:# )?\[\[?(\w+)\]", line):
            inside = f"{head[1]}."
        elif key := re.match(r"(?:# )?(\w+) = .*", line):
            shown.add(inside + key[1])
    keys = set()
    for name, field in fields_by_key(Job).items():
        inner = table_type(field.annotation)
        keys |= {f"{name}.{key}" for key in fields_by_key(inner)} if inner else {name}
    assert shown == keys


def test_starter_of_no_sample() -> None:
    with pytest.raises(InputError, match=f'there is no sample "x"; the known ones are {", ".join(SAMPLES)}'):
        starter("x")


def test_default_answers_give_the_starter() -> None:
    literals = {question.key: question.literal("") for question in QUESTIONS}
    assert answered(literals) == starter()
    assert _read(answered(literals)) == _read(starter())


def test_answers_take_their_place() -> None:
    text = answered({"title": '"Two of them"', "piston.count": "2", "piston.crown_diameter": '"3.6 in"'})
    job = _read(text)
    assert (job.title, job.piston.count, job.piston.crown_diameter) == (
        "Two of them",
        2,
        pytest.approx(91.44),
    )
    assert "# across the crown's outer edge" in text


def test_interview_asks_again_and_leaves_out() -> None:
    typed = {"piston.count": ["many", "0", "2"], "existing.form": ["none"]}
    asked, refused = [], []

    def ask(question: Question) -> str:
        asked.append(question.key)
        return typed.get(question.key, [""]).pop(0)

    answers = interview(ask, refused.append)
    assert refused == ["many is not a number; answer a number in pistons", "0 is outside 1 to 10000 pistons"]
    assert asked.count("piston.count") == 3
    assert "existing.mouth_diameter" not in asked
    assert _read(answered(answers)).piston.count == 2


def test_prompt() -> None:
    assert (LENGTH.prompt, CHOICE.prompt) == ("How long? (mm)", "Which? (x, y)")


def test_no_old_dish_drops_its_mouth_and_volume() -> None:
    key, answer = NO_OLD_DISH
    job = _read(answered({key: f'"{answer}"'}))
    assert (job.existing.form, job.existing.mouth_diameter, job.existing.volume) == ("none", None, None)


def test_material_choices_are_known() -> None:
    (material,) = (question for question in QUESTIONS if question.key == "piston.material")
    assert set(material.choices) <= set(table("materials"))


LENGTH = Question("a.b", "How long?", "mm", "5", 1, 10)
COUNT = Question("a.n", "How many?", "pistons", "4", 1, 10, whole=True)
CHOICE = Question("a.c", "Which?", default="x", choices=("x", "y"))


@pytest.mark.parametrize(
    ("question", "answer", "literal_expected"),
    [
        (LENGTH, "", "5"),
        (LENGTH, " 7.5 ", "7.5"),
        (LENGTH, "0.3 in", '"0.3 in"'),
        (COUNT, "3", "3"),
        (CHOICE, "y", '"y"'),
        (Question("t", "Title?"), 'a "b"', r'"a \"b\""'),
    ],
)
def test_answer(question: Question, answer: str, literal_expected: str) -> None:
    assert question.literal(answer) == literal_expected


@pytest.mark.parametrize(
    ("question", "answer", "message"),
    [
        (LENGTH, "11", "11 is outside 1 to 10 mm"),
        (LENGTH, "1 in", "1 in is outside 1 to 10 mm"),
        (LENGTH, "nan", "nan is outside 1 to 10 mm"),
        (LENGTH, "abc", "it is not a length"),
        (COUNT, "many", "many is not a number; answer a number in pistons"),
        (COUNT, "2.5", "2.5 is not a whole number"),
        (CHOICE, "z", "z is not one of x, y"),
    ],
)
def test_answer_failure(question: Question, answer: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        question.literal(answer)
