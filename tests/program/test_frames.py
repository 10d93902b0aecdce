"""Which postprocessor writes a job, and how it states positions and lengths."""

import pytest

import postprocessors
from tests.sample_jobs import job_file
from toolpath.api import load_job
from toolpath.errors import DialectError
from toolpath.motion.frame import Frame
from toolpath.program.frames import frame_of, shown, writer_of
from toolpath.recut import Recut, resolve


def recut_of(post: str, **machine: object) -> Recut:
    job = load_job(job_file("pump-engine"), post=post)
    found = resolve(job.model_copy(update={"machine": job.machine.model_copy(update=machine)}))
    assert isinstance(found, Recut)
    return found


@pytest.mark.parametrize(
    ("post", "machine", "x_reading", "units", "decimals"),
    [
        # the postprocessor's own where the job states nothing
        ("iso6983", {}, "diameter", "mm", 3),
        ("system-a", {}, "diameter", "mm", 3),
        ("rs274ngc", {}, "radius", "mm", 4),
        ("rs274-lathe", {}, "diameter", "mm", 4),
        ("dro-table", {}, "diameter", "mm", 3),
        ("iso6983", {"program_units": "inch"}, "diameter", "inch", 4),
        ("iso6983", {"decimals": 4}, "diameter", "mm", 4),
        ("iso6983", {"x_reading": "radius"}, "radius", "mm", 3),
        ("rs274-lathe", {"x_reading": "radius", "decimals": 5}, "radius", "mm", 5),
    ],
)
def test_the_frame_is_the_jobs_and_else_the_postprocessors(post, machine, x_reading, units, decimals):
    frame = frame_of(recut_of(post, **machine))
    assert frame == Frame("face-outer", 5.0, x_reading, units, decimals)


@pytest.mark.parametrize(
    ("post", "name"), [("dro-table", "iso6983"), ("system-a", "system-a"), ("rs274ngc", "rs274ngc")]
)
def test_a_manual_lathe_shares_the_frame_of_a_program(post, name):
    assert name == writer_of(recut_of(post)).NAME


def test_a_postprocessor_that_cannot_be_read_back_is_named(monkeypatch):
    class Strange(postprocessors.BUILT_IN["iso6983"]):
        READS_AS = "nothing known"

    recut = recut_of("iso6983")
    monkeypatch.setitem(postprocessors.BUILT_IN, "iso6983", Strange)
    with pytest.raises(DialectError, match=r"^The postprocessor 'iso6983' .*nothing known.*\.$"):
        writer_of(recut)


@pytest.mark.parametrize(
    ("units", "decimals", "x_reading", "z", "x"),
    [
        ("mm", 3, "diameter", "12.700 mm", "25.400 mm diameter"),
        ("mm", 2, "radius", "12.70 mm", "12.70 mm radius"),
        ("inch", 4, "diameter", "0.5000 in", "1.0000 in diameter"),
    ],
)
def test_a_length_as_the_operator_reads_it(units, decimals, x_reading, z, x):
    words = shown(Frame("insert-centre", 5.0, x_reading, units, decimals))
    assert (words.z(12.7), words.x(12.7)) == (z, x)
