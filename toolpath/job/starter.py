"""The starter job that `dishpath new` writes: a sample as it is, or the commented one with answers put in."""

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any, Final, get_args

from pydantic.fields import FieldInfo

from toolpath.errors import InputError
from toolpath.job.faults import fields_by_key, table_type
from toolpath.job.load import REQUIRED_TABLES
from toolpath.job.model import Job
from toolpath.job.pairs import Pairs, Places
from toolpath.job.schema import schema
from toolpath.job.types import JobTable, Quantity
from toolpath.reference import folder
from toolpath.units import METRES_PER_FOOT, MM_PER_INCH, length_from_text

FIRST_SAMPLE: Final = "pump-engine"  # the one in which every key stands with a comment

_HEAD: Final = r"(?:# )?(\[\[?(\w+)\]\]?)(?: +(#.*))?"
_LINE: Final = r'(?:# )?(\w+) = (\[.*\]|"[^"]*"|\S+)(?: +(#.*))?'
_PLAIN: Final = r"-?[0-9]+(?:\.[0-9]+)?"
KEPT: Final = (*REQUIRED_TABLES, "crown", "setup")  # their heads stand also where nothing is stated in them
INCH_DEFAULTS: Final = {  # those that are no metric default told in inches
    ("machine", "program_units"): json.dumps("inch"),
    ("machine", "decimals"): "4",
    ("machine", "readout"): "0.0005",
}
COMMENTS: Final = 37  # column at which the comments of the starter stand


def starter(like: str | None = None) -> str:
    """Text of a commented job file: the sample of that name, or the fully commented one.

    Raises:
        InputError: there is no such sample; lists those there are.
    """
    samples = {path.stem: path for path in folder("samples").glob("*.toml")}
    if (like or FIRST_SAMPLE) not in samples:
        raise InputError(
            f"there is no sample {json.dumps(like)}; the known ones are {', '.join(sorted(samples))}"
        )
    return samples[like or FIRST_SAMPLE].read_text(encoding="utf-8")


def answered(answers: Mapping[str, str]) -> str:
    """The commented starter with nothing stated but the answers: TOML literals by key.

    Every other line becomes a comment. It shows the default where there is one and an example where there
    is none, in the units of the job.
    """
    inch = answers.get("units") == json.dumps("inch")
    properties = _properties()
    fields = {"": fields_by_key(Job)} | {name: fields_by_key(inner) for name, inner in _tables().items()}
    lines = []
    table = ""
    for line in starter().partition("\n\n")[2].splitlines():  # the first paragraph is about the sample
        if head := re.fullmatch(_HEAD, line):
            table = head[2]
            stated = any(key.startswith(f"{table}.") for key in answers)
            line = _in_column(("" if stated or table in KEPT else "# ") + head[1], head[3])
        elif given := re.fullmatch(_LINE, line):
            key, literal, comment = given.groups()
            answer = answers.get(f"{table}.{key}" if table else key)
            if answer is not None:
                line = _in_column(f"{key} = {answer}", comment)
            else:
                default = properties[table][key].get("default")
                if not line.startswith("#") and default not in (None, ""):
                    literal = json.dumps(default)
                if inch:
                    literal = INCH_DEFAULTS.get((table, key)) or _in_inches(literal, fields[table][key])
                line = _in_column(f"# {key} = {literal}", comment)
        lines.append(line)
    return "\n".join(lines) + "\n"


def _tables() -> dict[str, type[JobTable]]:
    inner = {name: table_type(field.annotation) for name, field in fields_by_key(Job).items()}
    return {name: table for name, table in inner.items() if table is not None}


def _properties() -> dict[str, Any]:
    """What the schema says of each key, by table ("" for the file itself)."""
    document = schema()
    inner = {name: document["$defs"][table.__name__]["properties"] for name, table in _tables().items()}
    return {"": document["properties"]} | inner


def _in_column(stated: str, comment: str | None) -> str:
    return f"{stated:<{COMMENTS - 2}}  {comment}" if comment else stated


def _in_inches(literal: str, field: FieldInfo) -> str:
    """A length, feed or speed of the metric starter to three digits in inches or ft/min; others as they are."""
    per = _inch_per(field)
    if per is None:
        return literal
    if literal.startswith('"'):
        try:
            return f"{length_from_text(literal[1:-1]) / per:.3g}"
        except ValueError:
            return literal
    return re.sub(_PLAIN, lambda number: f"{float(number[0]) / per:.3g}", literal)


def _inch_per(field: FieldInfo) -> float | None:
    """What one unit of an inch file is in one of a metric one; None where they are the same."""
    for part in (*field.metadata, *_parts(field.annotation)):
        if isinstance(part, Pairs | Places):
            return MM_PER_INCH
        if isinstance(part, Quantity):
            return {"length": MM_PER_INCH, "feed": MM_PER_INCH, "speed": METRES_PER_FOOT}.get(part.kind)
    return None


def _parts(annotation: Any) -> Iterator[Any]:
    yield annotation
    for part in get_args(annotation):
        yield from _parts(part)
