"""Reads a job file: TOML text in, one frozen Job out, or every fault at once."""

import re
import tomllib
from collections.abc import Mapping
from typing import Any, Final, get_args

from pydantic import ValidationError

from toolpath.errors import InputError
from toolpath.job import faults as found
from toolpath.job.faults import Fault
from toolpath.job.model import Job
from toolpath.job.partial import with_holes
from toolpath.job.rules import InsertRadius, broken
from toolpath.job.shop import faults_of_shop, merge
from toolpath.job.types import Context, ReadFile, no_files
from toolpath.units import COMMA_FOR_POINT, Units, point_for_comma, sentence_in

MOST_TEXT: Final = 1_000_000  # characters
MOST_KEYS: Final = 500  # in one table
MOST_PARTS: Final = 50  # of one dotted key: the TOML reader takes memory with their square
MOST_OF_LINE: Final = 80  # characters of a faulty line that are shown
REQUIRED_TABLES: Final = ("piston", "existing", "dish", "tool", "cutting", "machine")
PLAIN_WORDS: Final = {  # where the TOML reader's own words do not help a machinist
    "Cannot overwrite a value": "this key is given twice; keep one",
    "Invalid value": "what stands after = is not a value; text needs quotes, numbers a decimal point",
    "Invalid statement": "this is not a line of TOML; write key = value",
}

_KEY_PART: Final = r"""(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')"""
_DOTTED: Final = rf"{_KEY_PART}(?:[ \t]*\.[ \t]*{_KEY_PART})*"
_DECIMAL_COMMA: Final = r"[^=#\"']*=\s*([+-]?[0-9]+,[0-9]+)\s*(?:#|$)"
_PLACE: Final = r" \(at (?:line (\d+), column \d+|end of document)\)$"


def decoded(data: bytes, *, name: str) -> str:
    """The text of a file's bytes.

    Raises:
        InputError: the file is too long, or is not UTF-8 text.
    """
    if len(data) > 4 * MOST_TEXT:
        raise InputError(_too_long(name))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(f"{name}: line {line} is not UTF-8 text; save the file as plain UTF-8") from error


def load(
    text: str,
    *,
    name: str,
    known_materials: frozenset[str],
    known_posts: frozenset[str],
    insert_radius: InsertRadius,
    shop: str | None = None,
    shop_name: str = "shop.toml",
    read_file: ReadFile = no_files,
) -> Job:
    """The job that `text` states, in mm, mm3, rad, mm/rev and m/min.

    `name` heads each fault. `insert_radius` gives the radius in mm of a round insert from its
    ISO 1832 designation, or raises ValueError or InputError with a sentence. `read_file` gives the bytes of
    a file that the job names, or raises ValueError with the end of a sentence.

    Raises:
        InputError: with every fault of the file, a line each.
    """
    stated = parse(text, name=name)
    units: Units = stated["units"] if stated.get("units") in get_args(Units) else "mm"
    shelves = parse(shop, name=shop_name) if shop is not None else None
    if shelves is not None and (shop_faults := faults_of_shop(shelves)):
        raise InputError(*(found.report(fault, shelves, {}, shop_name) for fault in shop_faults))
    merged = merge(stated, shelves, units, shop_name)
    document = merged.document
    for table in REQUIRED_TABLES:  # so that a missing table is reported key by key
        document.setdefault(table, {})
    context = Context(
        units, known_materials, known_posts, tuple(merged.overrides), tuple(merged.from_shop), read_file
    )
    faults: list[Fault] = []
    try:
        job = Job.model_validate(document, context=context)
    except ValidationError as error:
        faults += found.from_validation(error)
        job = with_holes(Job, document, context)
    rules = broken(job, insert_radius)
    faults += [Fault(fault.path, sentence_in(fault.text, units)) for fault in rules]
    # a table that the shop file lacks is one fault, not one for each of its keys
    nameless = {fault.path[0] for fault in merged.faults}
    faults = merged.faults + [fault for fault in faults if fault.path[0] not in nameless]
    if faults:
        raise InputError(*_lines(faults, document, merged.sources, name))
    return job


def parse(text: str, *, name: str) -> dict[str, Any]:
    """The TOML document in `text`.

    Raises:
        InputError: it is not TOML, or too long or too deep to be a job; names the line.
    """
    if len(text) > MOST_TEXT:
        raise InputError(_too_long(name))
    text = text.removeprefix("\ufeff")
    for match in re.finditer(_DOTTED, text):
        if len(re.findall(_KEY_PART, match[0])) > MOST_PARTS:
            line = text.count("\n", 0, match.start()) + 1
            raise InputError(_at_line(name, text, line, "this key is too deep; a job needs two levels"))
    try:
        document = tomllib.loads(text)
    except RecursionError:
        raise InputError(f"{name}: lists or tables are nested too deep; a job needs two levels") from None
    except tomllib.TOMLDecodeError as error:
        place = re.search(_PLACE, str(error))
        what = re.sub(_PLACE, "", str(error))
        line = int(place[1]) if place and place[1] else text.rstrip().count("\n") + 1
        if what.startswith("Cannot declare"):
            what = "this table is given twice; put its keys under one head"
        if comma := re.match(_DECIMAL_COMMA, text.split("\n")[line - 1]):
            what = COMMA_FOR_POINT.format(point_for_comma(comma[1]))
        raise InputError(_at_line(name, text, line, PLAIN_WORDS.get(what, what))) from error
    except ValueError as error:  # a whole number of more digits than Python reads
        raise InputError(f"{name}: a number has too many digits; write an ordinary one") from error
    if _most_keys(document) > MOST_KEYS:
        raise InputError(f"{name}: a table has more than {MOST_KEYS} keys or entries; this is not a job file")
    return document


def _most_keys(document: dict[str, Any]) -> int:
    parts = [document, *(value for value in document.values() if isinstance(value, dict | list))]
    return max(len(part) for part in parts)


def _too_long(name: str) -> str:
    return f"{name}: the file is longer than {MOST_TEXT} characters; this is not a job file"


def _at_line(name: str, text: str, line: int, what: str) -> str:
    there = text.split("\n")[line - 1].strip()[:MOST_OF_LINE]
    # an escape code in a broken file must not reach the terminal
    harmless = "".join(c if c.isprintable() else "?" for c in there)
    return f"{name}: line {line}: {harmless}: {what}"


def _lines(
    faults: list[Fault], document: Mapping[str, Any], sources: Mapping[found.Path, str], name: str
) -> list[str]:
    first = faults[: found.MOST_SHOWN]
    lines = list(dict.fromkeys(found.report(fault, document, sources, name) for fault in first))
    if len(faults) > len(first):
        lines.append(f"{name}: and {len(faults) - len(first)} more faults")
    return lines
