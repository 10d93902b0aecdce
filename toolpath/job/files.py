"""Values of a job that stand in a file beside it: points and drawings."""

from typing import Annotated, Any, Final

from toolpath.drawing.sheet import DrawingSheet, read_sheet
from toolpath.errors import InputError
from toolpath.forms.measured import Row, Tracks, tracks_of
from toolpath.job.pairs import Places
from toolpath.job.types import LONGEST_TEXT, Context, Reader
from toolpath.units import mm_per

MOST_OF_DRAWING: Final = 20_000_000  # bytes
MOST_OF_POINTS: Final = 1_000_000  # bytes of a file of points


class PointsFile(Reader):
    """The name of a file of points, which is read with the job."""

    def read(self, value: object, context: Context) -> Tracks:
        """Its tracks, in mm."""
        name = file_name(value)
        text = as_text(context.read_file(name, MOST_OF_POINTS))
        tracks = [Places().read(track, context) for track in tracks_of(text)]
        if not tracks:
            raise ValueError("there are no points in it; write a diameter and a depth a line")
        for track in tracks[1:]:
            if [row[::2] for row in track] != [row[::2] for row in tracks[0]]:
                raise ValueError(_unlike(tracks[0], track))
        return Tracks(name, tuple(tracks))

    def shape(self) -> dict[str, Any]:
        return {"type": "string"}


class DrawingFile(Reader):
    """The name of a DXF file, which is read with the job."""

    def read(self, value: object, context: Context) -> DrawingSheet:
        """What stands on the sheet, in mm."""
        name = file_name(value)
        try:
            return read_sheet(context.read_file(name, MOST_OF_DRAWING), name, mm_per(context.units))
        except InputError as error:  # the library is not installed
            raise ValueError(str(error)) from None

    def shape(self) -> dict[str, Any]:
        return {"type": "string"}


def _unlike(first: tuple[Row, ...], other: tuple[Row, ...]) -> str:
    if len(first) != len(other):
        return (
            f"one track has {len(first)} points and another {len(other)}; measure all at the same diameters"
        )
    a, b = next((a, b) for a, b in zip(first, other, strict=True) if a[::2] != b[::2])
    return f"tracks differ at diameter {a[0]:g} and {b[0]:g} mm; measure all at the same diameters"


def file_name(value: object) -> str:
    """A name of a file.

    Raises:
        ValueError: it is no text.
    """
    if not isinstance(value, str) or not value or len(value) > LONGEST_TEXT:
        raise ValueError("it is not the name of a file in quotes")
    return value


def as_text(data: bytes) -> str:
    """The text of a file's bytes.

    Raises:
        ValueError: it is not UTF-8.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError("the file is not UTF-8 text; save it as plain text") from None


DrawnSheet = Annotated[DrawingSheet, DrawingFile()]
MeasuredPoints = Annotated[Tracks, PointsFile()]
