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
from toolpath.job.starter import starter
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
    skim = job.crown.skim
    if skim is None:  # pistons with figures of their own: the height they all end with is stated
        assert job.crown.compression_height is not None
        assert job.piston.compression_height is not None
        skim = job.piston.compression_height - job.crown.compression_height
    assert job.piston.top_land is not None
    assert job.piston.min_top_land is not None
    assert job.piston.top_land - skim >= job.piston.min_top_land


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
