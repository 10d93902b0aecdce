"""One root error; each class carries the exit code that the command line answers with."""

from typing import ClassVar


class DishpathError(Exception):
    """Anything that the user can put right; its text is one sentence for a person."""

    exit_code: ClassVar[int] = 2


class InputError(DishpathError):
    """A file, key or value that cannot be used (exit 2); may hold several sentences, one a fault."""

    def __init__(self, *faults: str) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


class GeometryError(DishpathError, ValueError):
    """A line, arc or section that cannot exist (exit 2)."""


class DialectError(DishpathError):
    """A move that a postprocessor cannot express (exit 2); names the move."""


class StopError(DishpathError):
    """The job is understood but must not be cut, or a program failed its readback (exit 1)."""

    exit_code: ClassVar[int] = 1
