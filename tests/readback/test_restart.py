"""Every program may be started at every section from a parked machine, and never moves without tool and offset."""

import re

import pytest

from postprocessors import find
from tests.sample_jobs import DIALECTS, SAMPLES, job_file
from toolpath.api import load_job
from toolpath.program.frames import frame_of
from toolpath.program.proof import setup_of
from toolpath.program.text import made
from toolpath.readback.held import tool_of
from toolpath.readback.reader import ReadProgram, read
from toolpath.recut import Recut, resolve


def recut_of(sample: str, post: str, **machine: object) -> Recut:
    job = load_job(job_file(sample), post=post)
    job = job.model_copy(update={"machine": job.machine.model_copy(update=machine)})
    recut = resolve(job)
    assert isinstance(recut, Recut)
    return recut


def reading_of(recut: Recut, text: str) -> ReadProgram:
    setup = setup_of(recut, frame_of(recut))
    assert setup.dialect != "dro-table"
    return read(
        text,
        dialect=setup.dialect,
        units=setup.units,
        x_reading=setup.x_reading,
        control_point=setup.control_point,
        insert_radius=setup.insert_radius,
    )


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("post", DIALECTS)
def test_the_rest_from_every_section_is_a_program_by_itself(sample, post):
    recut = recut_of(sample, post)
    text = made(recut).text
    setup = setup_of(recut, frame_of(recut))
    assert setup.stated is not None
    whole = reading_of(recut, text)
    lines = text.replace("%\n", "").split("\n")
    begins = [n for n, line in enumerate(lines) if re.match(r"N\d ", line)]
    assert len(begins) >= 2
    for begin in begins:
        rest = reading_of(recut, "\n".join(lines[begin:]))
        assert rest.faults == ()
        # the first is Z alone from where the machine is parked: its start is not known, so it is no motion yet
        ends = [(m.x2, m.z2, m.rapid, m.radius, m.mode.feed, m.mode.speed) for m in rest.motions]
        known = [(m.x2, m.z2, m.rapid, m.radius, m.mode.feed, m.mode.speed) for m in whole.motions]
        assert ends == known[-len(ends) :]
        assert rest.tools[0][2] == tool_of(setup.stated.tool)
        assert rest.offsets[0][2] == setup.stated.work_offset
        moves = [line for line in lines[begin:] if line.startswith("G0")]
        assert re.match(r"G00 Z", moves[0])
        assert re.match(r"G00 X", moves[1])


@pytest.mark.parametrize("post", DIALECTS)
@pytest.mark.parametrize("index", ["none", "home", (-100.0, 50.0)], ids=str)
def test_nothing_moves_in_work_coordinates_before_the_call(post, index):
    if index == "home" and post.startswith("rs274"):
        pytest.skip("no word for the home of an axis there")
    recut = recut_of("pump-engine", post, index=index)
    program = made(recut)
    assert program.readback.ok, program.readback.findings
    blocks = [line for line in program.text.splitlines() if not line.startswith("(")]
    first = next(n for n, line in enumerate(blocks) if line.startswith("G0"))
    before = " ".join(blocks[:first])
    assert re.search(r"\bT\d+", before)
    assert "G54" in before
    away = [line for line in blocks if re.search(r"G28|G53", line)]
    assert away == [line for line in blocks[:first] if re.search(r"G28|G53", line)]
    expected = {
        "none": [],
        "home": ["G28 W0", "G28 U0"]
        if find(post).READS_AS == "system-a"
        else ["G91 G28 Z0.0", "G91 G28 X0.0"],
    }
    wanted = expected[index] if isinstance(index, str) else ["G53 G00 Z50.0", "G53 G00 X-100.0"]
    assert away == wanted
    assert ("TOOL CLEAR" in program.text.upper()) == (index == "none")


@pytest.mark.parametrize(
    ("block", "part"),
    [
        ("G28 U0\nG28 W0", "along Z alone, then along X alone"),
        ("G28 U0 W0", "G28 is refused"),
        ("G28 W1.0", "G28 is refused"),
        ("G28 X0.0", "G28 is refused"),
        ("G53 G00 X-1.0 Z5.0", "G53 is refused"),
        ("G53 G01 Z5.0", "G53 is refused"),
        ("T0101\nG28 W0", "after the tool call"),
        ("M03 S100\nG28 W0", "after the tool call"),
    ],
)
def test_other_moves_in_machine_coordinates_are_refused(block, part):
    recut = recut_of("pump-engine", "system-a")
    faults = reading_of(recut, f"{block}\nM30\n").faults
    assert any(part in fault.why for fault in faults)


@pytest.mark.parametrize("post", DIALECTS)
@pytest.mark.parametrize("sample", SAMPLES)
def test_the_proof_stands_a_gauge_before_the_crown(sample, post):
    """20 mm or 0.75 in before the finished crown, the outer side level with the edge, spindle standing."""
    recut = recut_of(sample, post)
    whole = reading_of(recut, made(recut).text)
    proof = whole.halts[1]
    assert not proof.turning
    last = whole.motions[proof.after - 1]
    inch = recut.job.machine.program_units == "inch"
    gauge = 0.75 * 25.4 if inch else 20.0
    step = 1e-3 * (25.4 if inch else 1.0)
    assert last.z2 - recut.insert.radius == pytest.approx(gauge, abs=step)
    assert last.x2 + recut.insert.radius == pytest.approx(recut.job.piston.crown_diameter / 2, abs=step)
    assert all(motion.rapid for motion in whole.motions[: proof.after])
