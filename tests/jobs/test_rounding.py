"""What rounding to the program's decimals may do: arcs still close, and every setting cuts the same metal."""

import math
import os
import re
from collections.abc import Iterator
from itertools import count

import pytest

from postprocessors import BUILT_IN
from tests.jobs.generator import DECIMALS, job_text
from tests.jobs.judged import read, second_of
from tests.jobs.second_cutter import Opinion, apart, shift_of, steps_of
from toolpath.job.model import Job
from toolpath.program.frames import frame_of
from toolpath.program.proof import setup_of
from toolpath.program.text import Made, made
from toolpath.recut import resolve

WANTED = 300 if os.environ.get("DISHPATH_THOROUGH") == "1" else 8
FIRST = 200_000
CLOSING = 0.002  # mm, NIST IR 6556, 3.5.3.2
SAME = 0.003  # mm between the surfaces of two programs of one job
SETTINGS = [(units, decimals) for units, many in DECIMALS.items() for decimals in many]


def with_machine(job: Job, **values: object) -> Job:
    """The job with other machine settings."""
    return job.model_copy(update={"machine": job.machine.model_copy(update=values)})


def sound_jobs() -> Iterator[Job]:
    """Generated jobs that are made."""
    found = 0
    for seed in count(FIRST):
        job = read(job_text(seed))
        if not resolve(job).stopped:
            yield job
            found += 1
        if found == WANTED:
            return


@pytest.fixture(scope="module", name="jobs")
def _jobs() -> list[Job]:
    return list(sound_jobs())


def written(job: Job) -> Made:
    return made(resolve(job))


def cut_by(job: Job) -> Opinion:
    recut = resolve(job)
    return second_of(recut, made(recut), setup_of(recut, frame_of(recut)))


@pytest.mark.parametrize("post", BUILT_IN)
@pytest.mark.parametrize(("units", "decimals"), SETTINGS)
def test_every_number_has_its_decimals_and_every_arc_closes(units, decimals, post, jobs):
    for job in jobs:
        program = written(
            with_machine(job, post=post, program_units=units, decimals=decimals, x_reading="diameter")
        )
        frame = program.frame
        for line in program.text.splitlines():
            for word in re.findall(r"[XZIK](\S+)", re.sub(r"\(.*?\)", "", line)):
                assert re.fullmatch(rf"-?\d+\.\d{{1,{decimals}}}", word), line
        shift = shift_of(frame.control_point, frame.insert_radius)
        for step in steps_of(program.text, on_diameter=frame.x_reading == "diameter", shift=shift):
            if step.centre is not None:
                radii = [math.dist(step.centre, end) for end in (step.start, step.end)]
                assert abs(radii[0] - radii[1]) <= CLOSING, f"line {step.line}"
                assert step.start != step.end, f"line {step.line} is a full circle"
                assert min(radii) > 0


@pytest.mark.parametrize("post", BUILT_IN)
def test_every_setting_cuts_the_same_metal(post, jobs):
    for job in jobs[: max(4, WANTED // 4)]:
        seen = [
            cut_by(with_machine(job, post=post, program_units=units, decimals=decimals))
            for units, decimals in SETTINGS
        ]
        worst = max(max(apart(seen[0], other), apart(other, seen[0])) for other in seen[1:])
        assert worst <= SAME


@pytest.mark.parametrize("control_point", ["insert-centre", "face-outer", "face-inner"])
def test_every_control_point_cuts_the_same_metal(control_point, jobs):
    for job in jobs:
        recuts = []
        for point in ("insert-centre", control_point):
            changed = job.model_copy(update={"tool": job.tool.model_copy(update={"control_point": point})})
            recut = resolve(with_machine(changed, post="iso6983", program_units="mm", decimals=4))
            if not recut.stopped:
                recuts.append(second_of(recut, made(recut), setup_of(recut, frame_of(recut))))
        if len(recuts) == 2:
            assert apart(*recuts) <= SAME
