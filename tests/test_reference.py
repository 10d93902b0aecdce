"""Every table that comes with the package says where its values come from."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from toolpath.reference import folder, table


def test_folder_is_found_beside_the_package_in_a_checkout():
    assert {file.name for file in folder("shared").glob("*.toml")} >= {
        "burettes.toml",
        "cautions.toml",
        "inserts.toml",
        "materials.toml",
    }


def test_folder_inside_the_package_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    package = tmp_path / "toolpath"
    monkeypatch.setattr("toolpath.reference.__file__", str(package / "reference.py"))
    (package / "shared").mkdir(parents=True)
    (tmp_path / "shared").mkdir()
    assert folder("shared") == package / "shared"
    (package / "shared").rmdir()
    assert folder("shared") == tmp_path / "shared"


def _blocks(block: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The tables that hold values, not further tables."""
    inner = [value for value in block.values() if isinstance(value, Mapping)]
    return [found for value in inner for found in _blocks(value)] if inner else [block]


@pytest.mark.parametrize("name", ["inserts", "cautions"])
def test_every_table_names_its_source(name: str):
    assert all(block["source"] for block in _blocks(table(name)))


def test_burettes_name_their_source():
    assert "ISO 385" in table("burettes")["source"]


@pytest.mark.parametrize("name", table("materials"))
def test_every_material_value_names_its_source(name: str):
    material = table("materials")[name]
    assert set(material["sources"]) == set(material) - {"what", "sources"}
    assert material["speed"][0] < material["speed"][1]
    assert material["coolant"] == ("dry" if name == "cast-iron" else "wet")


@pytest.mark.parametrize("line", table("cautions")["program"]["lines"])
def test_cautions_fit_a_program_comment(line: str):
    assert line.isascii()
    assert len(line) <= 64
    assert not set("()%;") & set(line)


@pytest.mark.parametrize("place", ["program", "sheet", "readme"])
def test_cautions_defer(place: str):
    text = " ".join(table("cautions")[place]["lines"]).lower()
    for authority in ("machine", "local rules", "engine builder"):
        assert authority in text
