"""JSON schema of the job file, in the file's own keys and units."""

import math
from typing import Any, Final

from toolpath.job.model import SHOP_TABLES, Job
from toolpath.units import cc

HEAD: Final = {
    "title": "dishpath job file",
    "description": "One recut of a set of pistons; volumes in cc, angles in degrees.",
}


def schema() -> dict[str, Any]:
    """The schema (JSON Schema 2020-12) of the document that `toolpath.job.load` reads."""
    document = Job.model_json_schema(by_alias=True)
    for table in SHOP_TABLES:
        _allow_shop_name(document, table)
    plain: dict[str, Any] = _in_words(document)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema"} | plain | HEAD


def _allow_shop_name(document: dict[str, Any], table: str) -> None:
    """Beside the table itself: its name in the shop file, or that name and the keys that differ."""
    definition = document["$defs"][table.capitalize()]
    keys = {"use": {"type": "string", "description": f"a [{table}.NAME] of the shop file"}}
    by_name = {
        "type": "object",
        "properties": keys | definition["properties"],
        "required": ["use"],
        "additionalProperties": False,
    }
    whole = {"$ref": f"#/$defs/{table.capitalize()}"}
    document["properties"][table] = {"anyOf": [whole, by_name, {"type": "string"}]}


def _in_words(part: Any) -> Any:
    """Units moved into the descriptions; titles that repeat a key and empty defaults left out."""
    if isinstance(part, list):
        return [_in_words(entry) for entry in part]
    if not isinstance(part, dict):
        return part
    options = [option for option in part.get("anyOf", []) if option != {"type": "null"}]
    if "anyOf" in part and len(options) < len(part["anyOf"]):
        part = {key: value for key, value in part.items() if key != "anyOf"}
        part |= options[0] if len(options) == 1 else {"anyOf": options}
    words = {
        key: _in_words(value)
        for key, value in part.items()
        if not (key == "title" and isinstance(value, str))
        and not (key == "default" and (value is None or isinstance(value, dict | list)))
    }
    unit = words.pop("unit", None)
    if isinstance(unit, str):
        if unit:
            words["description"] = f"{words.get('description', '')} ({unit})".strip()
        if "default" in words:
            words["default"] = _as_in_file(words["default"], unit)
    return words


def _as_in_file(default: float, unit: str) -> float | str:
    """A default, which the model holds as it is inside, as a job file would state it."""
    if unit.startswith("mm, or"):
        return f"{default:g} mm"
    if unit == "cc":
        return cc(default)
    return round(math.degrees(default), 9) if unit == "degrees" else default
