"""Postprocessors: typed moves in, text for one kind of control out. `find(name)` gives the class.

`postprocessors.writer` is the contract; `postprocessors.dro_table` serves manual lathes.
"""

from typing import TYPE_CHECKING

from postprocessors.facts import fault_of
from postprocessors.iso6983 import Iso6983
from postprocessors.rs274_lathe import Rs274Lathe
from postprocessors.rs274ngc import Rs274ngc
from postprocessors.system_a import SystemA
from postprocessors.writer import Writer
from toolpath.errors import DialectError

if TYPE_CHECKING:
    from importlib.metadata import EntryPoints

GROUP = "dishpath.postprocessors"  # entry points: name = "package.module:WriterClass"

BUILT_IN: dict[str, type[Writer]] = {w.NAME: w for w in (Iso6983, SystemA, Rs274ngc, Rs274Lathe)}


def find(name: str) -> type[Writer]:
    """The writer of that name: built in, or from an installed package's entry point.

    Raises DialectError
    - where no writer has that name; the known ones are listed;
    - where the entry point of that name cannot be loaded, or gives no Writer with all its facts.
    """
    # scanning the installed packages is slow: only for a name that is not built in
    if name in BUILT_IN:
        return BUILT_IN[name]
    others = {point.name: point for point in _installed()}
    if name not in others:
        known = ", ".join([*BUILT_IN, *sorted(others)])
        raise DialectError(f"There is no postprocessor {name!r}; known are {known}.")
    try:
        writer = others[name].load()
    except Exception as error:  # whatever a package outside does while it is imported
        why = str(error).splitlines()[0].rstrip(".") if str(error) else type(error).__name__
        raise DialectError(f"The postprocessor {name!r} cannot be loaded: {why}.") from error
    fault = fault_of(name, writer)
    if fault:
        raise DialectError(f"The postprocessor {name!r} {fault}.")
    found: type[Writer] = writer
    return found


def known_names() -> frozenset[str]:
    """Every name that `find` takes: the built-in ones and those of installed packages."""
    return frozenset(BUILT_IN) | {point.name for point in _installed()}


def _installed() -> "EntryPoints":
    from importlib.metadata import entry_points  # its import alone is slow

    return entry_points(group=GROUP)
