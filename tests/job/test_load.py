"""Reading as a whole: all faults at once, broken TOML, odd files."""

import json
import tomllib
from collections.abc import Callable
from typing import Any

import pytest

from toolpath.errors import InputError
from toolpath.job.faults import GONE, RENAMED, fields_by_key, table_type
from toolpath.job.load import decoded
from toolpath.job.model import Job
from toolpath.job.partial import with_holes
from toolpath.job.rules import broken
from toolpath.job.types import Context

JobText = Callable[..., str]
Read = Callable[..., Job]
Faults = Callable[..., tuple[str, ...]]
WHOLE: dict[str, str | None] = {  # a job with every table that the rules look at
    "existing.form": '"spherical"',
    "existing.mouth_diameter": "64",
    "existing.depth": "5",
    "crown.skim": "0.5",
    "holder.direction": '"z"',
    "holding.torque": "20",
    "engine.bore": "91",
    "dish.depth": "3",
    "cutting.allowance": "0.2",
    "cutting.rpm_limit": "1500",
}
WHOLE_KEYS = [
    (name, tuple(fields_by_key(table)))
    for name, field in fields_by_key(Job).items()
    if (table := table_type(field.annotation)) is not None and name not in ("pocket", "burette")
]


def test_six_faults_at_once(job_text: JobText, faults_of: Faults) -> None:
    text = job_text(
        {
            "piston.crown_diameter": None,
            "piston.crown_diamter": "90.4",
            "crown.skim": "-0.7",
            "cutting.feed": "3",
            "cutting.allowance": "0.6",
            "cutting.surface_speed": "200",
        }
    )
    assert faults_of(text) == (
        "job.toml: piston.crown_diameter: it is missing; give the diameter of the crown's outer edge",
        "job.toml: piston.crown_diamter = 90.4: there is no such key here; did you mean crown_diameter?",
        "job.toml: crown.skim = -0.7: it must be 0 or more",
        "job.toml: cutting.surface_speed = 200: it cannot stand beside cutting.fixed_rpm; "
        "keep one of the two",
        "job.toml: cutting.allowance = 0.6: 0.6 mm is not below cutting.dish_depth_of_cut, 0.5 mm; "
        "leave less for the finishing cut",
        "job.toml: cutting.feed = 3: 3 mm/rev is over a quarter of the insert radius, 1.25 mm; "
        "take a finer feed, and look at the unit",
    )


def test_a_rule_is_left_off_where_its_value_is_at_fault(job_text: JobText, faults_of: Faults) -> None:
    assert faults_of(job_text({"cutting.dish_depth_of_cut": "-1", "cutting.allowance": "0.2"})) == (
        "job.toml: cutting.dish_depth_of_cut = -1: it must be more than 0",
    )


def test_a_rule_touches_nothing_but_what_it_says_it_looks_at(job_text: JobText) -> None:
    """Each rule against every job with one value, or one whole table, that could not be read."""
    stated = tomllib.loads(job_text(WHOLE))
    for table, key in ((t, k) for t, keys in WHOLE_KEYS for k in (None, *keys)):
        spoiled: dict[str, Any] = json.loads(json.dumps(stated))
        if key is None:
            spoiled[table] = 7
        else:
            spoiled.setdefault(table, {})[key] = {"not": "a value"}
        job = with_holes(Job, spoiled, Context())
        assert isinstance(broken(job, lambda designation: 5.0), list), (table, key)


def test_an_empty_file_is_told_all_that_is_required(faults_of: Faults) -> None:
    keys = [fault.split(": ")[1] for fault in faults_of("")]
    assert keys == [
        "units",
        "piston.crown_diameter",
        "existing.form",
        "dish.form",
        "cutting.feed",
        "cutting.skim_depth_of_cut",
        "cutting.dish_depth_of_cut",
        "machine.post",
        "tool.insert",
        "cutting.surface_speed",
    ]


@pytest.mark.parametrize(
    ("addition", "fault_expected"),
    [
        ("[crwn]\nskim = 1", "crwn: there is no such key here; did you mean crown?"),
        ("[engine.gasket]\nbore = 1", "engine.gasket: there is no such key here; did you mean gasket_bore?"),
        ("[setup]\nskim = 1", "setup.skim = 1: there is no such key here; it belongs in [crown]"),
        (
            "[setup]\narea_mm2 = 1",
            "setup.area_mm2 = 1: there is no such key here; it belongs in [[pocket]]",
        ),
        (
            "[setup]\ncolour = 1",
            "setup.colour = 1: there is no such key here; the known ones are zero, touch_off,",
        ),
        ('[setup]\n"a\\nb\\u001b" = 1', 'setup."a\\nb\\u001b" = 1: there is no such key here'),
        ("[pocket]\nvolume_cc = 1", "pocket: it must be a list of tables; write [[pocket]] before each"),
        ("[[crown]]\nskim = 1", "crown: it must be a table; write [crown] and its keys below"),
        (
            "[[pocket]]\nvolume_cc = 1",
            "pocket[1].area_mm2: it is missing; give the area at the as-received crown",
        ),
        ("[burette]\nclass = 'C'", 'burette.class = "C": it must be one of "A", "B"'),
    ],
)
def test_misplaced_keys(addition: str, fault_expected: str, job_text: JobText, faults_of: Faults) -> None:
    faults = faults_of(f"{job_text()}\n{addition}\n")
    assert any(fault.startswith(f"job.toml: {fault_expected}") for fault in faults), faults


def test_thousands_of_faults_are_cut_short(job_text: JobText, faults_of: Faults) -> None:
    text = job_text() + "\n[setup]\n" + "\n".join(f"k{n} = 1" for n in range(400))
    faults = faults_of(text)
    assert len(faults) == 101
    assert faults[-1] == "job.toml: and 300 more faults"


@pytest.mark.parametrize(
    ("text", "fault_expected"),
    [
        pytest.param(
            'units = "mm"\nskim = = 3\n',
            "line 2: skim = = 3: what stands after = is not a value; "
            "text needs quotes, numbers a decimal point",
            id="two equal signs",
        ),
        pytest.param(
            '\n\ntitle = "open\n', "line 3: title = \"open: Illegal character '\\n'", id="open text"
        ),
        pytest.param(
            "[piston\n", "line 1: [piston: Expected ']' at the end of a table declaration", id="head"
        ),
        pytest.param("a = 1\na = 2\n", "line 2: a = 2: this key is given twice; keep one", id="key twice"),
        pytest.param(
            "a = 1\r\nb = 1\r\na = 2\r\nc = 1\r\n", "line 3: a = 2: this key is given twice", id="crlf"
        ),
        pytest.param(
            "[a]\nb = 1\n[a]\nc = 1\n",
            "line 3: [a]: this table is given twice; put its keys under one head",
            id="table twice",
        ),
        pytest.param("crown diameter\n", "line 1: crown diameter: Expected '='", id="no equal sign"),
        pytest.param(
            "skim = 0,5\n",
            "line 1: skim = 0,5: it has a decimal comma; write a decimal point, 0.5",
            id="decimal comma",
        ),
        pytest.param(
            "a = 1\nskim = 0,5  # mm\n", "line 2: skim = 0,5  # mm: it has a dec", id="comma, comment"
        ),
        pytest.param("x = \x1b[2J\n", "line 1: x = ?[2J: what stands after =", id="escape code"),
        pytest.param("x = " + "y" * 500, "line 1: x = " + "y" * 76 + ": what stands", id="long line"),
        pytest.param("x = " + "[" * 5000, "lists or tables are nested too deep", id="deep list"),
        pytest.param("x = " + "{a=" * 5000, "lists or tables are nested too deep", id="deep table"),
        pytest.param("\n" + "a." * 5000 + "b = 1", "line 2: a.a.a.", id="deep key"),
        pytest.param("x = " + "9" * 5000, "a number has too many digits", id="digits"),
        pytest.param("#" * 1_000_001, "the file is longer than 1000000 characters", id="huge"),
    ],
)
def test_not_toml(text: str, fault_expected: str, faults_of: Faults) -> None:
    faults = faults_of(text)
    assert len(faults) == 1
    assert faults[0].startswith(f"job.toml: {fault_expected}"), faults[0]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (
            b'units = "mm"\ntitle = "\xff"\n',
            "job.toml: line 2 is not UTF-8 text; save the file as plain UTF-8",
        ),
        (bytes(range(128, 256)), "job.toml: line 1 is not UTF-8 text"),
        (b" " * 4_000_001, "job.toml: the file is longer than 1000000 characters"),
    ],
)
def test_decoded_failure(data: bytes, message: str) -> None:
    with pytest.raises(InputError, match=message):
        decoded(data, name="job.toml")


def test_byte_order_mark_is_skipped(job_text: JobText, read: Read) -> None:
    assert decoded(b"\xef\xbb\xbfunits", name="job.toml") == "units"
    assert read("\ufeff" + job_text()).units == "mm"


def test_a_title_with_many_dots_is_no_deep_key(job_text: JobText, read: Read) -> None:
    title = "a." * 2000
    assert read(job_text({"title": f'"{title}"'})).title == title


@pytest.mark.parametrize(("table", "old", "new"), [(*key, new) for key, new in RENAMED.items()])
def test_whoever_writes_an_old_key_is_told_the_new_one(
    job_text: JobText, faults_of: Faults, table: str, old: str, new: str
) -> None:
    told = f"job.toml: {table}.{old} = 1: the key is called {new} now; rename it"
    assert told in faults_of(job_text({f"{table}.{old}": "1"}))


@pytest.mark.parametrize(("table", "old", "why"), [(*key, why) for key, why in GONE.items()])
def test_a_key_that_went_says_what_to_do(
    table: str, old: str, why: str, job_text: JobText, faults_of: Faults
) -> None:
    (told,) = faults_of(job_text({f"{table}.{old}": '"diameter"'}))
    assert told.startswith(f"job.toml: {table}.{old} = ")
    assert told.endswith(f"there is no such key any more: {why}")
