"""The head of a program: its lines in their order, and numbers that tell two programs of a set apart."""

import pytest

from tests.sample_jobs import DIALECTS, job_file
from toolpath.api import load_job
from toolpath.program.frames import frame_of
from toolpath.program.head import header_of, program_number
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
