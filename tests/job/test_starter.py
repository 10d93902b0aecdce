"""The questions of `new`, the job that its answers make, and what its comments show."""

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from tests.sample_jobs import run
from toolpath.cli import jobs
from toolpath.job.load import load
from toolpath.job.model import Job
from toolpath.job.questions import QUESTIONS, Question, interview
from toolpath.job.starter import INCH_DEFAULTS, answered, starter
from toolpath.program.by_hand import table_of
from toolpath.program.text import made
from toolpath.recut import Recut, resolve
from toolpath.reference import table
from toolpath.tool.insert import decode

SAMPLES = ("blank-bowl", "four-valve", "pump-engine", "tractor-pair")
TYPED = {  # what a turner with two pistons types; everything else is Enter
    "title": "Two of them",
    "piston.count": "2",
    "piston.crown_diameter": "90.4",
    "existing.mouth_diameter": "64",
    "existing.volume_cc": "9.3",
    "crown.skim": "0.5",
    "dish.volume_cc": "11.6",
    "dish.mouth_diameter": "68",
    "cutting.rpm_limit": "1800",
    "speed": "surface",
}
LIVE = {
    *("units", "title", "piston.count", "piston.material", "piston.crown_diameter", "existing.form"),
    *("existing.mouth_diameter", "existing.volume_cc", "crown.skim", "dish.form", "dish.volume_cc"),
    *("dish.mouth_diameter", "tool.insert", "machine.post", "cutting.surface_speed", "cutting.rpm_limit"),
    *("cutting.feed", "cutting.skim_depth_of_cut", "cutting.dish_depth_of_cut"),
}
EXAMPLES = {  # keys that have no default: what stands behind their # is an example
    *("piston.underside", "existing.depth", "existing.sphere_radius", "existing.corner_radius"),
    *("existing.points", "crown.deck_clearance", "dish.depth", "dish.compression_ratio", "dish.floor_angle"),
    *("dish.points", "dish.lip_break", "tool.insert_diameter", "tool.relief", "tool.thickness"),
    *(
        "tool.tolerance",
        "holder.height_below_edge",
        "holder.outline",
        "cutting.fixed_rpm",
        "cutting.finish_rpm",
    ),
    *("machine.handwheel_division", "machine.program_number", "engine.peak_pressure", "engine.crown_stress"),
    *("setup.existing_u_cc", "holding.clamp_force", "burette.piston_below_deck"),
    *("existing.drawing", "existing.layer", "existing.points_file", "piston.underside_file"),
    *("dish.drawing", "dish.layer", "dish.fit", "dish.points_file"),
    *("piston.compression_height", "crown.compression_height"),
}


def _read(text: str) -> Job:
    return load(
        text,
        name="job.toml",
        known_materials=frozenset(table("materials")),
        known_posts=frozenset({"iso6983", "system-a", "rs274ngc", "dro-table"}),
        insert_radius=lambda designation: decode(designation).radius,
    )


def _typed(typed: dict[str, str], like: str | None = None) -> tuple[str, list[str]]:
    """The job that comes of these answers by key, and what was said meanwhile."""
    said: list[str] = []
    keys = {question.text: question.key for question in QUESTIONS}

    def ask(prompt: str, offer: str) -> str:
        return typed.get(keys.pop(prompt.partition(" (")[0]), "")  # no question comes twice

    return answered(interview(ask, said.append, starter(like))), said


def _live(text: str) -> set[str]:
    live, inside = set(), ""
    for line in text.splitlines():
        if head := re.match(r"\[\[?(\w+)\]", line):
            inside = f"{head[1]}."
        elif stated := re.match(r"(\w+) = ", line):
            live.add(inside + stated[1])
    return live


def test_only_what_was_answered_is_stated() -> None:
    """Four own pistons once came out with the compression and the grip of the sample."""
    text, _ = _typed(TYPED)
    assert _live(text) == LIVE
    job = _read(text)
    assert (job.engine, job.holder, job.holding, job.burette, job.pocket) == (None, None, None, None, ())
    assert (job.title, job.piston.count, job.piston.min_floor) == ("Two of them", 2, None)
    recut = resolve(job)
    assert isinstance(recut, Recut)
    assert not recut.stopped
    assert not {"grip", "head-room", "pin-bar"} & {f.code for f in recut.findings}


def test_a_line_that_was_not_answered_shows_the_default() -> None:
    text, _ = _typed({**TYPED, "piston.count": ""})
    assert "\n# count = 1  " in text
    assert '\n# class = "B"  ' in text
    assert _read(text).piston.count == 1


def _commented() -> Iterator[tuple[str, str]]:
    """Each commented key of the starter, and the starter with that key stated."""
    lines, inside, pocket = starter().splitlines(), "", False
    for place, line in enumerate(lines):
        if head := re.match(r"(?:# )?\[\[?(\w+)\]", line):
            inside, pocket = head[1], line.startswith("#")
        elif (stated := re.match(r"# (\w+) = ", line)) and not pocket:
            yield f"{inside}.{stated[1]}", "\n".join([*lines[:place], line[2:], *lines[place + 1 :]])


COMMENTED = dict(_commented())


@cache
def _made(text: str) -> tuple[tuple[object, ...], float]:
    """Everything that a default may change: program, table, findings; and the uncertainty of a first cut, in mm3."""
    job = _read(text)
    whole, first = resolve(job), resolve(job, stage="first", piston=1)
    assert isinstance(whole, Recut)
    assert isinstance(first, Recut)
    assert first.next_cut is not None
    unmarked = re.sub(r"MARK \w+", "MARK", made(first).text)  # the mark tells two uncertainties apart
    files = made(whole).text, unmarked, table_of(whole).text, whole.findings
    return files, first.next_cut.expected.u


@pytest.mark.parametrize("key", sorted(COMMENTED.keys() - EXAMPLES))
def test_a_commented_default_is_the_real_one(key: str) -> None:
    """start_x once stood there as 30, where 10 is what happens."""
    (files, u), (stated_files, stated_u) = _made(starter()), _made(COMMENTED[key])
    assert stated_files == files
    assert stated_u == pytest.approx(u, abs=0.1)  # a default that is a root is shown rounded


def test_what_is_called_an_example_has_no_default() -> None:
    assert COMMENTED.keys() >= EXAMPLES
    job = _read("\n".join(line for line in starter().splitlines() if not line.startswith("#")))
    for key in EXAMPLES:
        inside, _, name = key.partition(".")
        stated = getattr(job, inside).model_dump(by_alias=True)
        assert stated[name] is None, key


def test_inch_defaults_are_the_real_ones() -> None:
    text, _ = _typed({**TYPED, "units": "inch", "piston.crown_diameter": "3.56", **INCHES})
    stated = text
    for (_, key), literal in INCH_DEFAULTS.items():
        assert f"# {key} = {literal}  " in text
    for key in ("readout", "start_x", "start_z", "rapid_rate", "touch_off", "off_centre", "clearance"):
        stated = re.sub(rf"^# ({key} = \S+)", r"\1", stated, flags=re.M)
    ours, theirs = _read(stated), _read(text)
    for one, other in (
        (ours.machine, theirs.machine),
        (ours.setup, theirs.setup),
        (ours.cutting, theirs.cutting),
    ):
        for name, value in one:
            default = getattr(other, name)
            if isinstance(value, float) and default is not None:
                assert value == pytest.approx(default, rel=0.005), name


INCHES = {"existing.mouth_diameter": "2 1/2", "crown.skim": "0.02", "dish.mouth_diameter": "2-11/16"}


def test_units_come_first_and_hold_for_every_answer() -> None:
    assert QUESTIONS[0].key == "units"
    text, _ = _typed({**TYPED, "units": "inch", "piston.crown_diameter": "3.56", **INCHES})
    job = _read(text)
    assert (job.units, job.piston.crown_diameter, job.crown.skim) == (
        "inch",
        pytest.approx(90.424),
        pytest.approx(0.508),
    )
    assert job.dish.mouth_diameter == pytest.approx(68.2625)
    assert job.cutting.surface_speed == pytest.approx(250, rel=0.01)  # 820 ft/min is offered for 250 m/min
    assert '"2 1/2"' in text


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_every_sample_offers_its_own_words_in_both_units(sample: str, units: str) -> None:
    own = {"units": units, **TYPED, "speed": "fixed", "cutting.fixed_rpm": "900"}
    if units == "inch":
        own |= {"piston.crown_diameter": "3.56", **INCHES}
    if sample == "blank-bowl":
        own |= {"crown.skim": "10 thou"}
    job, like = _read(_typed(own, sample)[0]), _read(starter(sample))
    assert job.units == units
    assert (job.piston.material, job.machine.post, job.tool.insert, job.dish.form) == (
        like.piston.material,
        like.machine.post,
        like.tool.insert,
        like.dish.form,
    )
    assert job.cutting.feed == pytest.approx(like.cutting.feed, rel=0.05)
    assert job.cutting.dish_depth_of_cut == pytest.approx(like.cutting.dish_depth_of_cut, rel=0.05)


def test_a_decimal_comma_in_an_answer_is_taken_as_a_point_and_shown() -> None:
    text, said = _typed({**TYPED, "piston.crown_diameter": "90,4", "dish.volume_cc": "11,6", "title": "1,2"})
    assert [line for line in said if "taken" in line] == ["90,4 is taken as 90.4", "11,6 is taken as 11.6"]
    job = _read(text)
    assert (job.piston.crown_diameter, job.dish.volume, job.title) == (90.4, 11600, "1,2")


def test_a_depth_is_asked_for_where_no_reading_is() -> None:
    text, _ = _typed({**TYPED, "existing.volume_cc": "", "existing.depth": "5.5"})
    assert (_read(text).existing.volume, _read(text).existing.depth) == (None, 5.5)


def test_no_old_dish_has_no_mouth_and_no_volume() -> None:
    job = _read(_typed({**TYPED, "existing.form": "none"})[0])
    assert (job.existing.form, job.existing.mouth_diameter, job.existing.volume) == ("none", None, None)


def test_asks_until_the_answer_will_do() -> None:
    answers = iter(["mm", "", "many", "0", "2"])
    said: list[str] = []
    with pytest.raises(StopIteration):
        interview(lambda prompt, offer: next(answers), said.append, starter())
    assert said[1:] == ["many is not a number; answer a number in pistons", "0 is outside 1 to 10000 pistons"]


def test_material_choices_are_known() -> None:
    (material,) = (question for question in QUESTIONS if question.key == "piston.material")
    assert set(material.choices) <= set(table("materials"))


LENGTH = Question("a.b", "How long?", "length", 1, 10)
COUNT = Question("a.n", "How many?", "count", 1, 10, unit="pistons")
CHOICE = Question("a.c", "Which?", "choice", choices=("x", "y"))


def test_prompt() -> None:
    assert LENGTH.prompt("mm") == "How long? (mm)"
    assert LENGTH._replace(optional=True).prompt("inch") == "How long? (inches; Enter: not stated)"
    assert CHOICE.prompt("mm") == "Which? (x, y)"


@pytest.mark.parametrize(
    ("question", "answer", "literal_expected"),
    [
        (LENGTH, "7.50", "7.50"),
        (LENGTH, "0.3 in", '"0.3 in"'),
        (LENGTH, "5.", "5.0"),
        (LENGTH._replace(low=0), ".5", "0.5"),
        (COUNT, "3", "3"),
        (CHOICE, "y", '"y"'),
        (Question("t", "Title?"), 'a "b"', r'"a \"b\""'),
    ],
)
def test_answer(question: Question, answer: str, literal_expected: str) -> None:
    assert question.literal(answer, "mm") == literal_expected


@pytest.mark.parametrize(
    ("question", "answer", "message"),
    [
        (LENGTH, "", "this one is needed"),
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
        question.literal(answer, "mm")


def test_limits_are_told_in_the_units_of_the_job() -> None:
    with pytest.raises(ValueError, match=r"90.4 is outside 0.7874 to 15.748 inches"):
        next(q for q in QUESTIONS if q.key == "piston.crown_diameter").literal("90.4", "inch")


def test_new_ends_with_the_next_command(tmp_path: Path) -> None:
    place = tmp_path / "own job.toml"
    done = run("new", place)
    assert done.output.splitlines() == [str(place), f"next: dishpath check '{place}'"]
    assert place.read_text() == starter()


def test_new_on_a_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "own.toml"
    typed = iter(["inch", "Own"])
    monkeypatch.setattr(jobs, "on_a_terminal", lambda: True)
    monkeypatch.setattr(jobs, "_ask", lambda prompt, default: next(typed))
    done = run("new", place, "--like", "tractor-pair")
    assert done.exit_code != 0  # the answers ended too soon, as with Ctrl-C
    assert not place.exists()


def test_every_answer_is_a_literal_of_the_file() -> None:
    text, _ = _typed(TYPED)
    assert json.loads("[" + ",".join(re.findall(r'^title = ("[^"]*")', text, re.M)) + "]") == ["Two of them"]
