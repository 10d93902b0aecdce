"""Values of a job that are rows: points of a section, corners of a holder."""

from dataclasses import dataclass
from typing import Annotated, Any, Final

from toolpath.job.types import LENGTH_OR_ZERO, SIGNED_LENGTH, Context, Quantity, Reader, shown

MOST_POINTS: Final = 500
SHARP: Final = "sharp"  # marks a point that is a corner


@dataclass(frozen=True, slots=True)
class Pairs(Reader):
    """Rows of two lengths, such as [[diameter, depth], ...]; `rising` wants each first larger."""

    names: tuple[str, str]
    quantities: tuple[Quantity, Quantity]
    fewest: int
    rising: bool

    def read(self, value: object, context: Context) -> tuple[tuple[float, float], ...]:
        """The rows, in mm."""
        form = f"[{self.names[0]}, {self.names[1]}]"
        if not isinstance(value, list | tuple):
            raise ValueError(f"it is not a list of points; write [{form}, ...]")
        if not self.fewest <= len(value) <= MOST_POINTS:
            raise ValueError(f"it has {len(value)} points; give {self.fewest} to {MOST_POINTS} of them")
        rows: list[tuple[float, float]] = []
        for place, row in enumerate(value, start=1):
            if not isinstance(row, list | tuple) or len(row) != 2:
                raise ValueError(f"point {place} is not a pair; write it as {form}, with decimal points")
            read = []
            for name, quantity, entry in zip(self.names, self.quantities, row, strict=True):
                try:
                    read.append(quantity.read(entry, context))
                except ValueError as error:
                    raise ValueError(f"the {name} of point {place} is {shown(entry)}: {error}") from None
            if self.rising and rows and read[0] <= rows[-1][0]:
                raise ValueError(
                    f"the {self.names[0]} of point {place} is not larger than that of point {place - 1}; "
                    "order the points from the axis outward, each once"
                )
            rows.append((read[0], read[1]))
        return tuple(rows)

    def shape(self) -> dict[str, Any]:
        row = {
            "type": "array",
            "prefixItems": [q.shape() for q in self.quantities],
            "minItems": 2,
            "maxItems": 2,
        }
        return {"type": "array", "items": row, "minItems": self.fewest, "maxItems": MOST_POINTS}


class Places(Reader):
    """Points of a section: [[diameter, depth], ...], where a corner is [diameter, depth, "sharp"]."""

    def read(self, value: object, context: Context) -> tuple[tuple[float, float, bool], ...]:
        """Diameter, depth (mm) and whether it is a corner, row by row."""
        rows = value if isinstance(value, list | tuple) else [value]
        marks = [
            len(row) == 3 and row[2] == SHARP if isinstance(row, list | tuple) else False for row in rows
        ]
        for place, (row, sharp) in enumerate(zip(rows, marks, strict=True), start=1):
            if isinstance(row, list | tuple) and len(row) == 3 and not sharp:
                raise ValueError(
                    f"the third value of point {place} is {shown(row[2])}; only {shown(SHARP)} may stand there"
                )
        bare = [row[:2] if sharp else row for row, sharp in zip(rows, marks, strict=True)]
        pairs = _POINTS.read(bare if isinstance(value, list | tuple) else value, context)
        return tuple((d, depth, sharp) for (d, depth), sharp in zip(pairs, marks, strict=True))

    def shape(self) -> dict[str, Any]:
        shape = _POINTS.shape()
        row = shape["items"]
        row["prefixItems"] = [*row["prefixItems"], {"enum": [SHARP]}]
        row["maxItems"] = 3
        return shape


_POINTS: Final = Pairs(  # from the axis outward, a depth below 0 is raised
    ("diameter", "depth"), (LENGTH_OR_ZERO, SIGNED_LENGTH), fewest=2, rising=True
)
Points = Annotated[tuple[tuple[float, float, bool], ...], Places()]  # diameter, depth, whether a corner
Underside = Annotated[tuple[tuple[float, float], ...], _POINTS]
Outline = Annotated[  # (x, z) of the holder's corners, signed
    tuple[tuple[float, float], ...],
    Pairs(("x", "z"), (SIGNED_LENGTH, SIGNED_LENGTH), fewest=3, rising=False),
]
