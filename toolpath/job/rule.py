"""What a rule between values is: what it looks at, and what the file states."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from toolpath.job.faults import Fault, fields_by_key
from toolpath.job.model import Job
from toolpath.job.types import JobTable


class Rule(NamedTuple):
    """A rule and the values it looks at, by table and attribute."""

    faults: Callable[[Job], Iterator[Fault]]
    looks_at: tuple[str, ...]

    def can_look(self, job: Job) -> bool:
        """Whether everything that the rule looks at could be read."""
        return all(_was_read(job, *place.split(".")) for place in self.looks_at)


def _was_read(job: Job, table: str, name: str | None = None) -> bool:
    values = vars(job)
    if name is None or table not in values or values[table] is None:
        return table in values
    return name in vars(values[table])


def looks_at(*places: str) -> Callable[[Callable[[Job], Iterator[Fault]]], Rule]:
    """Make a rule of a function; it is left off where one of these places could not be read."""
    return lambda faults: Rule(faults, places)


def given(table: JobTable) -> frozenset[str]:
    """The keys that the file states in a table, those with a fault included."""
    return frozenset(key for key, name in _names(table).items() if name in table.model_fields_set)


def _names(table: JobTable) -> dict[str, str]:
    fields = type(table).model_fields
    return {key: name for name, key in zip(fields, fields_by_key(type(table)), strict=True)}


def not_both(table: str, stated: frozenset[str], first: str, second: str) -> Iterator[Fault]:
    """A fault where two keys of a table are stated of which one will do."""
    if {first, second} <= stated:
        yield Fault((table, first), f"it cannot stand beside {table}.{second}; keep one of the two")
