"""Faults of a job file, in the user's words: "job.toml: crown.skim = -0.7: what is wrong"."""

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any, Final, NamedTuple, get_args

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from toolpath.job.model import Job
from toolpath.job.types import LONGEST_TEXT, JobTable, shown

MOST_SHOWN: Final = 100  # a file with more faults than this is not a job file
RENAMED: Final = {  # keys of older job files, by table and key
    ("piston", "least_floor"): "min_floor",
    ("piston", "least_top_land"): "min_top_land",
    ("piston", "least_wall_to_groove"): "min_wall_to_groove",
    ("piston", "least_rim"): "min_rim",
    ("engine", "least_head_room"): "min_head_room",
    ("cutting", "least_chip"): "min_chip",
    ("cutting", "scallop"): "step_height",
    ("holder", "reach"): "overhang",
    ("holding", "least_factor"): "min_factor",
    ("holding", "most_force"): "max_force",
    ("holding", "pin_bar"): "dummy_pin",
    ("machine", "stops"): "optional_stops",
    ("machine", "rapid"): "rapid_rate",
    ("machine", "spindle_sense"): "spindle_direction",
}
GONE: Final = {  # keys of older job files that nothing takes the place of, and what to do
    ("machine", "handwheel_reads"): "a row goes in along Z, where a division is one; take the line out",
}
_BARE_KEY: Final = r"[A-Za-z0-9_-]{1,60}"

Path = tuple[str | int, ...]


class Fault(NamedTuple):
    """Where a fault sits (keys, and places in a list counted from 0) and what is wrong there."""

    path: Path
    text: str


def fields_by_key(table: type[JobTable]) -> dict[str, FieldInfo]:
    """The fields of a table by the key that stands in the file, in the order of the model."""
    return {field.alias or name: field for name, field in table.model_fields.items()}


def table_type(annotation: Any) -> type[JobTable] | None:
    """The table that a field holds: itself, optional, or a list of them; None for a plain value."""
    if isinstance(annotation, type) and issubclass(annotation, JobTable):
        return annotation
    return next((found for part in get_args(annotation) if (found := table_type(part))), None)


def from_validation(error: ValidationError) -> Iterator[Fault]:
    """The faults that pydantic found, in the order of the file's tables."""
    for line in error.errors(include_url=False):
        yield Fault(line["loc"], _sentence(line["type"], line["loc"], line.get("ctx", {}), line["msg"]))


def _holds_much(value: object) -> bool:
    parts = value if isinstance(value, list) else [value]
    return isinstance(value, dict) or any(isinstance(part, dict | list) for part in parts)


def report(fault: Fault, document: Mapping[str, Any], sources: Mapping[Path, str], name: str) -> str:
    """One line: file, key, value as the file has it, and what is wrong.

    `sources` gives the file and key of values that came from a shop file.
    """
    where = sources.get(fault.path[:2]) or f"{name}: {key_text(fault.path)}"
    value = _value_at(document, fault.path)
    stated = f" = {shown(value)}" if value is not None and not _holds_much(value) else ""
    return f"{where}{stated}: {fault.text}"


def key_text(path: Path) -> str:
    """A path as the user would write it; places in a list count from 1.

    >>> key_text(("pocket", 0, "volume_cc"))
    'pocket[1].volume_cc'
    """
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            key = step if re.fullmatch(_BARE_KEY, step) else shown(step)
            text += f".{key}" if text else key
    return text


def nearest(word: str, known: list[str]) -> str:
    """A half sentence with the nearest of the known words, or with all of them."""
    import difflib  # few jobs have a typing error

    close = difflib.get_close_matches(word[:60], known, n=1, cutoff=0.6)
    return f"did you mean {close[0]}?" if close else f"the known ones are {', '.join(known)}"


def _value_at(document: Any, path: Path) -> Any:
    for step in path:
        try:
            document = document[step]
        except (KeyError, IndexError, TypeError):
            return None
    return document


def _table_at(path: Path) -> type[JobTable]:
    table: type[JobTable] = Job
    for step in path:
        if isinstance(step, str):
            table = table_type(fields_by_key(table)[step].annotation) or table
    return table


def _sentence(kind: str, path: Path, context: Mapping[str, Any], message: str) -> str:
    match kind:
        case "value_error":
            return str(context["error"])
        case "missing":
            field = fields_by_key(_table_at(path[:-1]))[str(path[-1])]
            return f"it is missing; give the {field.description}"
        case "extra_forbidden":
            return _unknown_key(path)
        case "literal_error":
            known = re.findall(r"'([^']*)'", context["expected"])
            return f"it must be one of {', '.join(json.dumps(word) for word in known)}"
        case "bool_type":
            return "it must be true or false, without quotes"
        case "string_type":
            return "it must be text in quotes"
        case "string_too_long":
            return f"it is too long; {LONGEST_TEXT} characters at most"
        case "model_type":
            return f"it must be a table; write [{key_text(path)}] and its keys below"
        case "tuple_type":
            return f"it must be a list of tables; write [[{key_text(path)}]] before each"
        case _:
            return message


def _unknown_key(path: Path) -> str:
    word = str(path[-1])
    new = RENAMED.get((str(path[0]), word))
    if new is not None:
        return f"the key is called {new} now; rename it"
    gone = GONE.get((str(path[0]), word))
    if gone is not None:
        return f"there is no such key any more: {gone}"
    here = list(fields_by_key(_table_at(path[:-1])))
    for name, field in fields_by_key(Job).items():
        table = table_type(field.annotation)
        if table is not None and word in fields_by_key(table):
            return f"there is no such key here; it belongs in {header(name)}"
    return f"there is no such key here; {nearest(word, here)}"


def header(name: str) -> str:
    """A table's name as it heads the table: [crown], or [[pocket]] where it repeats."""
    return f"[[{name}]]" if name == "pocket" else f"[{name}]"
