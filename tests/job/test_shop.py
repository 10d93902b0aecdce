"""The shop file: tables by name, keys that a job overrides, units of its own."""

import math
from collections.abc import Callable

import pytest

from toolpath.job.model import Job

JobText = Callable[..., str]
Read = Callable[..., Job]
Faults = Callable[..., tuple[str, ...]]

SHOP = """
units = "mm"
[tool.ROUND10]
insert_diameter = 10
relief = 7
[tool.BIG]
insert = "RCMT 1204 M0"
[holder.BAR]
outline = [[-4, -3], [4, -3], [0, "2 in"]]
[machine.LATHE]
post = "iso6983"
rapid_rate = 3000
decimals = 4
[burette.LAB]
capacity_cc = 50
"""


def test_table_by_name(job_text: JobText, read: Read) -> None:
    names = {"tool.insert": None, "tool": '"ROUND10"', "holder": '"BAR"', "burette": '"LAB"'}
    job = read(job_text(names), shop=SHOP)
    assert (job.tool.insert_diameter, job.tool.relief) == (10, math.radians(7))
    assert job.holder is not None
    assert job.holder.outline == ((-4, -3), (4, -3), (0, 50.8))
    assert job.burette is not None
    assert job.burette.capacity == 50_000
    assert job.from_shop == ("tool.ROUND10", "holder.BAR", "burette.LAB")
    assert job.overrides == ()


def test_own_keys_win(job_text: JobText, read: Read) -> None:
    names = {
        "machine.post": None,
        "machine.use": '"LATHE"',
        "machine.rapid_rate": "2000",
        "machine.decimals": "3",
    }
    job = read(job_text(names), shop=SHOP)
    assert (job.machine.post, job.machine.rapid_rate, job.machine.decimals) == ("iso6983", 2000, 3)
    assert job.overrides == ("machine.rapid_rate", "machine.decimals")


def test_shop_numbers_keep_their_own_unit(job_text: JobText, read: Read) -> None:
    changes = {
        "units": '"inch"',
        "cutting.feed": "0.004",
        "tool.insert": None,
        "tool.use": '"ROUND10"',
        "tool.thickness": "0.125",
    }
    tool = read(job_text(changes), shop=SHOP).tool
    assert (tool.insert_diameter, tool.thickness) == (10, 3.175)
    without_units = SHOP.replace('units = "mm"', "")
    assert read(job_text(changes), shop=without_units).tool.insert_diameter == 254


def test_a_shop_file_that_is_not_used_changes_nothing(job_text: JobText, read: Read) -> None:
    job = read(job_text(), shop=SHOP)
    assert job == read(job_text())
    assert (job.from_shop, job.overrides) == ((), ())


@pytest.mark.parametrize(
    ("shop", "fault_expected"),
    [
        (SHOP, 'job.toml: tool.use: "NONE" is no tool of the shop file; the known ones are BIG, ROUND10'),
        ("", 'job.toml: tool.use: "NONE" is no tool of the shop file; shop.toml has no [tool.NAME]'),
        (
            None,
            'job.toml: tool.use: "NONE" is no tool of the shop file; there is no shop file; '
            "write the table out, or put shop.toml beside the job",
        ),
        (
            "[tools.A]\nrelief = 7",
            "shop.toml: tools: a shop file has no such key; did you mean tool?",
        ),
        ("[tool]\nrelief = 7", "shop.toml: tool: it must hold named tables; write [tool.NAME]"),
        ("units = 'cm'", 'shop.toml: units = "cm": it must be one of "mm", "inch"'),
        ("[tool.A\n", "shop.toml: line 1: [tool.A: Expected ']' at the end of a table declaration"),
    ],
)
def test_shop_failure(shop: str | None, fault_expected: str, job_text: JobText, faults_of: Faults) -> None:
    assert faults_of(job_text({"tool.insert": None, "tool": '"NONE"'}), shop=shop) == (fault_expected,)


def test_fault_in_a_shop_value_names_the_shop_file(job_text: JobText, faults_of: Faults) -> None:
    shop = '[tool."MY TOOL"]\ninsert_diameter = -10\nrelief = 7\ncolour = "red"\n'
    text = job_text({"tool.insert": None, "tool.use": '"MY TOOL"', "tool.relief": "99"})
    faults = faults_of(text, shop=shop)
    assert faults[0] == 'shop.toml: tool."MY TOOL".insert_diameter = -10.0: it must be more than 0'
    assert faults[1] == "job.toml: tool.relief = 99: it must be 45 degrees at most"
    assert faults[2].startswith('shop.toml: tool."MY TOOL".colour = "red": there is no such key here')
    assert len(faults) == 3


def test_use_must_be_a_name(job_text: JobText, faults_of: Faults) -> None:
    assert faults_of(job_text({"burette.use": "[1]"}), shop=SHOP) == (
        "job.toml: burette.use: [1] is no burette of the shop file; the known ones are LAB",
    )
