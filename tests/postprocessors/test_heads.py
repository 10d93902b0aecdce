"""The head of a program: its lines in their order, and numbers that tell two programs of a set apart."""

from dataclasses import replace

import pytest

from tests.sample_jobs import DIALECTS, job_file
from toolpath.api import load_job
from toolpath.program.frames import frame_of
from toolpath.program.head import header_of, program_number, stage_words
from toolpath.program.proof import setup_of
from toolpath.program.text import made
from toolpath.readback.verdict import readback
from toolpath.recut import Recut, resolve
from toolpath.reference import table


def recut_of(post: str, piston: int | None = 3, **machine: object) -> Recut:
    job = load_job(job_file("pump-engine"), post=post)
    job = job.model_copy(update={"machine": job.machine.model_copy(update=machine)})
    recut = resolve(job, piston=piston)
    assert isinstance(recut, Recut)
    return recut


@pytest.mark.parametrize("post", DIALECTS)
def test_lines_in_their_order(post):
    """Title; piston and cut; mark; target; tool; two touch-off lines; the proof; the cautions."""
    recut = recut_of(post)
    head = header_of(recut, frame_of(recut), None)
    lines = [line for line in head.lines if not line.startswith("Before touching off")]
    begins = (
        "PISTON 3 OF 4 - ONE CUT WITHOUT A READING",
        f"MARK {recut.mark}",
        "Target 11.600 cc",
        "Tool: RCGT 10T3 M0",
    )
    begins += ("Z: spindle stopped", "X: spindle stopped", "Check: touched on diameter")
    assert [line[: len(begin)] for line, begin in zip(lines, begins, strict=False)] == list(begins)
    assert lines[len(begins) :] == list(table("cautions")["program"]["lines"])
    told = len(head.lines) - len(lines)
    assert told == post.startswith("rs274")  # what must be active before the touch-off


@pytest.mark.parametrize("post", DIALECTS)
def test_a_wrong_mark_or_piston_is_refused(post):
    recut = recut_of(post)
    text = made(recut).text
    setup = setup_of(recut, frame_of(recut))
    assert readback(text, setup).ok
    for old, new in ((recut.mark, "XXXXXX"), ("PISTON 3", "PISTON 2"), ("GAUGE 20", "GAUGE 30")):
        edited = text.replace(old, new, 1)
        assert edited != text
        back = readback(edited, setup)
        assert not back.ok
        assert back.worst_line == 1 + next(
            n for n, (a, b) in enumerate(zip(text.split("\n"), edited.split("\n"), strict=True)) if a != b
        )


@pytest.mark.parametrize(
    ("post", "words"),
    [
        ("iso6983", "tip towards +X -Z"),
        ("system-a", "tip towards +X -Z, tip number 2"),
        ("rs274ngc", "tip towards +X -Z"),
        ("rs274-lathe", "tip towards +X -Z, tip number 3"),
    ],
)
def test_the_tip_number_is_that_of_the_controls_own_table(post, words):
    recut = recut_of(post)
    (line,) = [line for line in header_of(recut, frame_of(recut), None).lines if line.startswith("Tool:")]
    assert line.endswith(words)


@pytest.mark.parametrize(("piston", "number"), [(None, 5000), (1, 5010), (4, 5040)])
def test_program_numbers_differ_by_piston(piston, number):
    assert program_number(recut_of("system-a", piston, program_number=5000)) == number
    assert program_number(recut_of("system-a", piston)) is None


def test_a_title_may_begin_like_a_line_of_the_head():
    for title in (
        "Mark IV engine",
        "Piston 3 of 4 - spare",
        "Z: the last one",
        "One cut without a reading 2",
    ):
        recut = recut_of("iso6983")
        named = resolve(recut.job.model_copy(update={"title": title}))
        assert isinstance(named, Recut)
        assert made(named).readback.ok, title


@pytest.mark.parametrize(
    ("point", "says"),
    [
        ("insert-centre", "programmed point is the insert's centre"),
        ("face-outer", "tip towards +X -Z"),
        ("face-inner", "tip towards -X -Z"),
    ],
)
@pytest.mark.parametrize(
    ("tool", "named"),
    [({}, "RCGT 10T3 M0"), ({"insert": None, "insert_diameter": 10.0, "relief": 0.12}, "round insert")],
    ids=["by designation", "by size"],
)
def test_the_tool_line_names_insert_radius_and_programmed_point(point, says, tool, named):
    job = load_job(job_file("pump-engine"))
    recut = resolve(
        job.model_copy(update={"tool": job.tool.model_copy(update={"control_point": point, **tool})})
    )
    assert isinstance(recut, Recut)
    (line,) = [line for line in header_of(recut, frame_of(recut), None).lines if line.startswith("Tool: ")]
    assert line == f"Tool: {named}, R 5.000 mm, {says}"


@pytest.mark.parametrize(
    ("machine", "told"),
    [
        ({}, True),
        ({"work_offset": "G57", "tool_word": "T7 M6 G43 H7"}, True),
        ({"work_offset": ""}, False),
        ({"tool_word": ""}, False),
    ],
    ids=["as it is", "of the job", "no offset", "no tool call"],
)
def test_what_must_be_active_before_touching_off(machine, told):
    recut = recut_of("rs274ngc", **machine)
    head = header_of(recut, frame_of(recut), None)
    words = [line for line in head.lines if line.startswith("Before touching off")]
    assert len(words) == told
    if told:
        assert machine.get("work_offset", "G54") in words[0]
        assert head.tool_word in words[0]
    assert head.work_offset == recut.job.machine.work_offset


def test_the_head_has_what_the_writer_needs():
    machine = {"block_numbers": True, "percent": True, "program_number": 3000, "tool_word": "T0505"}
    recut = recut_of("system-a", 2, **machine)
    frame = frame_of(recut)
    head = header_of(recut, frame, None)
    assert (head.title, head.tool_word, head.work_offset) == ("Pump engine, four pistons", "T0505", "G54")
    assert (head.units, head.x_reading, head.decimals) == (frame.units, frame.x_reading, frame.decimals)
    assert (head.program_number, head.block_numbers, head.percent) == (3020, True, True)
    plain = header_of(recut_of("system-a", 2), frame, None)
    assert (plain.program_number, plain.block_numbers, plain.percent) == (None, False, False)


@pytest.mark.parametrize(
    ("stage", "number", "words"),
    [
        ("whole", 4020, "One cut without a reading, piston 2"),
        ("first", 4021, "First cut, piston 2"),
        ("last", 4022, "Last cut, piston 2"),
    ],
)
def test_a_stage_has_a_number_and_a_name(stage, number, words):
    recut = replace(recut_of("iso6983", 2, program_number=4000), stage=stage)
    assert program_number(recut) == number
    assert stage_words(recut) == words
    assert stage_words(replace(recut, piston=None)) == words.removesuffix(", piston 2")
