"""The JSON schema speaks the file's keys and units, and knows what the reader knows."""

import tomllib
from typing import Any

import pytest

from toolpath.job.faults import fields_by_key, table_type
from toolpath.job.model import SHOP_TABLES, Job
from toolpath.job.schema import schema
from toolpath.job.starter import starter


def test_every_key_of_every_table() -> None:
    document = schema()
    assert list(document["properties"]) == list(fields_by_key(Job))
    for field in fields_by_key(Job).values():
        inner = table_type(field.annotation)
        if inner is not None:
            described = document["$defs"][inner.__name__]
            assert list(described["properties"]) == list(fields_by_key(inner))
            assert described["additionalProperties"] is False


def test_units_stand_in_the_descriptions() -> None:
    tables = schema()["$defs"]
    assert tables["Dish"]["properties"]["volume_cc"]["description"].endswith("(cc)")
    assert tables["Dish"]["properties"]["depth"]["description"] == (
        "greatest depth (mm, or inches in an inch file)"
    )
    assert tables["Cutting"]["properties"]["feed"]["description"].endswith(
        "(mm/rev, or in/rev in an inch file)"
    )


@pytest.mark.parametrize(
    ("table", "key", "default_expected"),
    [
        ("Dish", "tolerance_cc", 0.1),
        ("Cutting", "rpm_limit", 1500.0),
        ("Existing", "off_centre", "0.3 mm"),
        ("Machine", "rapid_rate", "5000 mm"),
        ("Piston", "count", 1),
    ],
)
def test_defaults_as_a_file_states_them(table: str, key: str, default_expected: object) -> None:
    assert schema()["$defs"][table]["properties"][key]["default"] == default_expected


def test_bounds_hold_in_every_unit() -> None:
    skim = schema()["$defs"]["Crown"]["properties"]["skim"]
    assert skim["anyOf"] == [{"type": "number", "minimum": 0}, {"type": "string"}]


def test_a_shop_table_may_be_a_name() -> None:
    document = schema()
    for table in SHOP_TABLES:
        kinds = document["properties"][table]["anyOf"]
        assert {"type": "string"} in kinds
        assert any(kind.get("required") == ["use"] for kind in kinds)


@pytest.mark.parametrize("sample", ["blank-bowl", "four-valve", "pump-engine", "tractor-pair"])
def test_samples_follow_it(sample: str) -> None:
    document = schema()
    stated = tomllib.loads(starter(sample))
    assert set(document["required"]) <= set(stated)
    for name, value in stated.items():
        inner = table_type(fields_by_key(Job)[name].annotation)
        if inner is None:
            continue
        described: dict[str, Any] = document["$defs"][inner.__name__]
        for entry in value if isinstance(value, list) else [value]:
            assert set(described.get("required", [])) <= set(entry) <= set(described["properties"])
