"""What a value in a job file may be, and how it becomes a plain number inside.

Each quantity is read in the file's units (`Context.units`) and comes out in mm, mm3, mm2, rad,
mm/rev, m/min; a field's default is already in those. A refusal is a ValueError whose text is the
end of the sentence that starts "piston.crown_diameter = -3: ".
"""

import json
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal, NamedTuple, TypeAlias

from pydantic import BaseModel, ConfigDict, StrictBool, StringConstraints, ValidationInfo
from pydantic.annotated_handlers import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from toolpath.forms.table import DISH, EXISTING
from toolpath.units import (
    COMMA_FOR_POINT,
    MM3_PER_CC,
    Units,
    length_from_text,
    metres_per,
    mm_per,
    point_for_comma,
)

Measure = Literal["length", "feed", "volume", "area", "angle", "speed", "number"]

SMALLEST: Final = 1e-6  # stands for "more than 0": what is smaller only breaks arithmetic
LONGEST: Final = 10_000.0  # mm; no piston, tool or machine comes near it
LONGEST_TEXT: Final = 5000  # characters of a title, name or note
LONGEST_SHOWN: Final = 60  # characters of a value in a message

UNIT_WORDS: Final[dict[Measure, tuple[str, str]]] = {  # in a metric file, in an inch file
    "length": ("mm", "inches"),
    "feed": ("mm/rev", "in/rev"),
    "volume": ("cc", "cc"),
    "area": ("mm2", "mm2"),
    "angle": ("degrees", "degrees"),
    "speed": ("m/min", "ft/min"),
    "number": ("", ""),
}


class ShopNumber(float):
    """A number out of a shop file, which may have other units than the job."""

    units: Units

    def __new__(cls, value: float, units: Units) -> "ShopNumber":
        number = super().__new__(cls, value)
        number.units = units
        return number


class ShopText(str):
    """Text out of a shop file: a bare fraction in it counts in that file's units."""

    units: Units

    def __new__(cls, value: str, units: Units) -> "ShopText":
        text = super().__new__(cls, value)
        text.units = units
        return text


ReadFile: TypeAlias = Callable[[str, int], bytes]  # name as the job has it and the most bytes


def no_files(name: str, most: int) -> bytes:
    """What stands in for a reader of files where there are none.

    Raises:
        ValueError: always.
    """
    raise ValueError("no file can be read beside this job")


class Context(NamedTuple):
    """What reading a job file needs to know besides the file; passed to pydantic as its context."""

    units: Units = "mm"
    known_materials: frozenset[str] = frozenset()
    known_posts: frozenset[str] = frozenset()
    overrides: tuple[str, ...] = ()
    from_shop: tuple[str, ...] = ()
    read_file: ReadFile = no_files


def context_of(info: ValidationInfo) -> Context:
    """The context of a validation; metric and without known names where there is none."""
    return info.context if isinstance(info.context, Context) else Context()


def shown(value: object) -> str:
    """A value as the job file would write it, on one line and cut short where it is long.

    >>> shown(True), shown("30 thou"), shown([1, 2])
    ('true', '"30 thou"', '[1, 2]')
    """
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        text = "[" + ", ".join(shown(part) for part in value[:LONGEST_SHOWN]) + "]"
    elif isinstance(value, bool | str):
        text = json.dumps(value)
    else:
        # dates and times are values in TOML too; a long whole number must not be converted to text
        text = "a very large number" if isinstance(value, int) and abs(value) > 10**30 else str(value)
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."


def number(value: object) -> float:
    """A finite number, and nothing that merely converts to one."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        point = point_for_comma(value) if isinstance(value, str) else value
        raise ValueError("it is not a number" if point == value else COMMA_FOR_POINT.format(point))
    try:
        read = float(value)
    except OverflowError:
        read = math.inf
    if not math.isfinite(read):
        raise ValueError("it is not a finite number")
    return read


class Reader:
    """Base of the annotations below: pydantic calls `read`, JSON schema shows `shape`."""

    def read(self, value: object, context: Context) -> Any:
        raise NotImplementedError(f"{type(self).__name__} has no read")

    def shape(self) -> dict[str, Any]:
        raise NotImplementedError(f"{type(self).__name__} has no shape")

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        def validate(value: object, info: ValidationInfo) -> Any:
            return self.read(value, context_of(info))

        return core_schema.with_info_plain_validator_function(validate)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return self.shape()


@dataclass(frozen=True, slots=True)
class Quantity(Reader):
    """One number with a unit; the limits are in mm, mm/rev, cc, mm2, degrees, m/min."""

    kind: Measure
    least: float
    most: float

    def read(self, value: object, context: Context) -> float:
        """The value in mm, mm/rev, mm3, mm2, rad or m/min."""
        stated = self._stated(value, context.units)
        if stated < self.least:
            least = self._limit(self.least, context.units)
            raise ValueError(f"it must be {'more than 0' if self.least == SMALLEST else f'{least} or more'}")
        if stated > self.most:
            raise ValueError(f"it must be {self._limit(self.most, context.units)} at most")
        if self.kind == "volume":
            return stated * MM3_PER_CC
        return math.radians(stated) if self.kind == "angle" else stated

    def _stated(self, value: object, units: Units) -> float:
        if self.kind in ("length", "feed") and isinstance(value, str):
            return length_from_text(value, value.units if isinstance(value, ShopText) else units)
        try:
            read = number(value)
        except ValueError as error:
            raise ValueError(f"{error}; {self._hint(units)}") from None
        if isinstance(value, ShopNumber):
            units = value.units
        return read * self._per(units)

    def _hint(self, units: Units) -> str:
        word = UNIT_WORDS[self.kind][units == "inch"]
        if self.kind == "length":
            return f'write a number in {word}, or text with its own unit such as "30 thou"'
        return f"write a number in {word}" if word else "write a plain number"

    def _limit(self, limit: float, units: Units) -> str:
        return (
            f"{limit / self._per(units):.6g} {UNIT_WORDS[self.kind][units == 'inch']}".rstrip()
            if limit
            else "0"
        )

    def _per(self, units: Units) -> float:
        """What one of the file's units is inside; volumes and angles are judged as the file has them."""
        if self.kind in ("length", "feed"):
            return mm_per(units)
        return metres_per(units) if self.kind == "speed" else 1.0

    def shape(self) -> dict[str, Any]:
        """JSON schema; `unit` is moved into the description by toolpath.job.schema."""
        metric, inch = UNIT_WORDS[self.kind]
        unit = metric if metric == inch else f"{metric}, or {inch} in an inch file"
        shape: dict[str, Any] = {"type": "number"}
        if self.kind in ("length", "feed"):
            # only a bound at 0 is the same in every unit
            if self.least in (0, SMALLEST):
                shape["exclusiveMinimum" if self.least else "minimum"] = 0
            return {"anyOf": [shape, {"type": "string"}], "unit": unit}
        if self.least == SMALLEST:
            shape["exclusiveMinimum"] = 0
        else:
            shape["minimum"] = self.least
        return shape | {"maximum": self.most, "unit": unit}


@dataclass(frozen=True, slots=True)
class WholeNumber(Reader):
    """A count between two limits."""

    least: int
    most: int

    def read(self, value: object, context: Context) -> int:
        """The count."""
        try:
            read = number(value)
        except ValueError:
            read = math.nan
        if not (read.is_integer() and self.least <= read <= self.most):
            raise ValueError(f"it must be a whole number from {self.least} to {self.most}")
        return int(read)

    def shape(self) -> dict[str, Any]:
        return {"type": "integer", "minimum": self.least, "maximum": self.most}


class Way(Reader):
    """The way a shank leaves the insert: "z", "x" or degrees from +Z towards +X; out in rad."""

    def read(self, value: object, context: Context) -> float:
        """Angle from +Z towards +X."""
        if value in ("z", "x"):
            return math.pi / 2 if value == "x" else 0.0
        try:
            return _SHANK_ANGLE.read(value, context)
        except ValueError as error:
            raise ValueError(f'{error}; write "x", "z" or degrees from +Z towards +X') from None

    def shape(self) -> dict[str, Any]:
        return {"anyOf": [{"enum": ["x", "z"]}, _SHANK_ANGLE.shape()], "unit": "degrees from +Z towards +X"}


class Swing(Reader):
    """Where the turret swings: "none", "home", or [x, z] in machine coordinates."""

    def read(self, value: object, context: Context) -> Literal["none", "home"] | tuple[float, float]:
        """The word, or both lengths in mm as the machine shows them."""
        if value == "none" or value == "home":
            return value
        if not isinstance(value, list | tuple) or len(value) != 2:
            raise ValueError('it cannot be used; write "none", "home" or [x, z]')
        x, z = (SIGNED_LENGTH.read(one, context) for one in value)
        return x, z

    def shape(self) -> dict[str, Any]:
        pair = {
            "type": "array",
            "prefixItems": [SIGNED_LENGTH.shape()] * 2,
            "minItems": 2,
            "maxItems": 2,
        }
        return {"anyOf": [{"enum": ["none", "home"]}, pair]}


@dataclass(frozen=True, slots=True)
class Pattern(Reader):
    """Text of a fixed pattern."""

    pattern: str
    hint: str

    def read(self, value: object, context: Context) -> str:
        """The text itself."""
        if not isinstance(value, str) or not re.fullmatch(self.pattern, value, re.ASCII):
            raise ValueError(f"it cannot be used; {self.hint}")
        return value

    def shape(self) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^({self.pattern})$"}


@dataclass(frozen=True, slots=True)
class KnownName(Reader):
    """A name out of one of the sets of known names in the context."""

    what: Literal["material", "post"]

    def read(self, value: object, context: Context) -> str:
        """The name itself."""
        known = context.known_materials if self.what == "material" else context.known_posts
        listed = ", ".join(sorted(known))
        if not isinstance(value, str):
            raise ValueError(f"it is not a {self.what}; the known ones are {listed}")
        if known and value not in known:
            raise ValueError(f"there is no {self.what} of this name; the known ones are {listed}")
        return value

    def shape(self) -> dict[str, Any]:
        return {"type": "string"}


@dataclass(frozen=True, slots=True)
class OneOf(Reader):
    """One of the names of a table."""

    names: tuple[str, ...]

    def read(self, value: object, context: Context) -> str:
        """The name itself."""
        if not isinstance(value, str) or value not in self.names:
            raise ValueError(f"it must be one of {', '.join(map(json.dumps, self.names))}")
        return value

    def shape(self) -> dict[str, Any]:
        return {"enum": list(self.names), "type": "string"}


class JobTable(BaseModel):
    """Base of every table of a job file: frozen, no unknown keys, keys by alias where they have a unit."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


_SHANK_ANGLE: Final = Quantity("angle", -180, 180)
_LENGTH: Final = Quantity("length", SMALLEST, LONGEST)
LENGTH_OR_ZERO: Final = Quantity("length", 0, LONGEST)
SIGNED_LENGTH: Final = Quantity("length", -LONGEST, LONGEST)

Length = Annotated[float, _LENGTH]
LengthOrZero = Annotated[float, LENGTH_OR_ZERO]
SignedLength = Annotated[float, SIGNED_LENGTH]
Feed = Annotated[float, Quantity("feed", SMALLEST, 100)]
Volume = Annotated[float, Quantity("volume", SMALLEST, 1e6)]
VolumeOrZero = Annotated[float, Quantity("volume", 0, 1e6)]
Area = Annotated[float, Quantity("area", SMALLEST, 1e8)]
AreaOrZero = Annotated[float, Quantity("area", 0, 1e8)]
SurfaceSpeed = Annotated[float, Quantity("speed", SMALLEST, 100_000)]
Rpm = Annotated[float, Quantity("number", SMALLEST, 1e6)]
Positive = Annotated[float, Quantity("number", SMALLEST, 1e9)]
NumberOrZero = Annotated[float, Quantity("number", 0, 1e9)]
Angle = Annotated[float, Quantity("angle", 0, 45)]
TurretIndex = Annotated[Literal["none", "home"] | tuple[float, float], Swing()]
ShankDirection = Annotated[float, Way()]
ExistingForm = Annotated[str, OneOf(tuple(EXISTING))]
DishForm = Annotated[str, OneOf(tuple(DISH))]
Flag = StrictBool
Text = Annotated[str, StringConstraints(max_length=LONGEST_TEXT)]
Material = Annotated[str, KnownName("material")]
Post = Annotated[str, KnownName("post")]
