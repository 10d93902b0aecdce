"""What one make of a cut would leave: the facts that the log keeps of it, so that no later job can change them.

The same facts give the same mark, a few letters that head, card and page carry.
"""

import hashlib
from collections.abc import Iterator
from math import degrees, radians
from typing import Literal, NamedTuple, TypeVar, get_args

from toolpath.errors import GeometryError, InputError
from toolpath.forms.breaks import BreakForm
from toolpath.forms.table import DISH, EXISTING
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc, Line, Segment
from toolpath.profile.dish import Shape
from toolpath.uncertainty.budget import Zero
from toolpath.units import MM3_PER_CC, cc

T = TypeVar("T")

CutStage = Literal["whole", "first", "last"]
STAGES: tuple[CutStage, ...] = get_args(CutStage)
MARK = 6  # letters of a mark


def first_zero(skim: float) -> Zero:
    """How the first cut gets its zero where nothing was read in between: from the skim, if there is one."""
    return "same" if skim > 0 else "fresh"


class OldDish(NamedTuple):
    """The dish as received as the job stated it: diameter and depth in mm, volume in mm3."""

    form: str
    mouth: float
    depth: float
    volume: float

    def words(self) -> str:
        """As a person would say it."""
        if not EXISTING[self.form].is_dish:
            return self.form
        return f"{self.form} {self.mouth:.3f} x {self.depth:.3f} mm, {cc(self.volume):.3f} cc"


class CutFacts(NamedTuple):
    """One cut as it was made: mm, rad, mm3; `section` is kept where the form follows other statements."""

    stage: CutStage
    zero: Zero
    skim: float
    shape: Shape  # solved
    control_point: str
    target: float  # of the piston, as the reading sees it
    old: OldDish
    section: Chain | None = None

    @classmethod
    def of(
        cls,
        stage: CutStage,
        zero: Zero,
        skim: float,
        shape: Shape,
        control_point: str,
        target: float,
        old: OldDish,
        section: Chain,
    ) -> "CutFacts":
        """The facts of a cut that leaves `section`, which is kept only where its lengths do not draw it."""
        kept = None if DISH[shape.form].by_lengths else section
        return cls(stage, zero, skim, shape, control_point, target, old, kept)

    def text(self) -> str:
        """Blank-separated key=value in mm, degrees and cc."""
        return " ".join(f"{key}={value}" for key, value in self._pairs())

    def _pairs(self) -> Iterator[tuple[str, str]]:
        shape = self.shape
        yield "stage", self.stage
        yield "zero", self.zero
        yield "skim", _number(self.skim)
        yield "form", shape.form
        yield "mouth", _number(2 * (shape.mouth or 0.0))
        yield "depth", _number(shape.depth or 0.0)
        yield "corner", _number(shape.corner)
        yield "wall", _number(degrees(shape.wall))
        yield "floor", _number(degrees(shape.fall))
        yield "lip", _number(shape.lip)
        yield "lip_form", shape.lip_form
        yield "insert", _number(shape.insert_radius)
        yield "point", self.control_point
        yield "target", _number(cc(self.target))
        yield "old", self.old.form
        yield "old_mouth", _number(self.old.mouth)
        yield "old_depth", _number(self.old.depth)
        yield "old_volume", _number(cc(self.old.volume))
        if self.section is not None:
            yield "cut", ";".join(map(_segment_text, self.section.segments))

    @property
    def mark(self) -> str:
        """The letters that tell two makes apart."""
        return hashlib.sha256(self.text().encode()).hexdigest()[:MARK].upper()


def facts_from(pairs: dict[str, str]) -> CutFacts:
    """The facts that stand in a line of the log.

    Raises:
        InputError: a fact is missing or cannot be read.
    """
    try:
        return CutFacts(
            stage=_one_of(pairs["stage"], STAGES),
            zero=_one_of(pairs["zero"], get_args(Zero)),
            skim=float(pairs["skim"]),
            shape=Shape(
                form=_one_of(pairs["form"], tuple(DISH)),
                insert_radius=float(pairs["insert"]),
                mouth=float(pairs["mouth"]) / 2,
                depth=float(pairs["depth"]),
                corner=float(pairs["corner"]),
                wall=radians(float(pairs["wall"])),
                fall=radians(float(pairs["floor"])),
                lip=float(pairs["lip"]),
                lip_form=_one_of(pairs["lip_form"], get_args(BreakForm)),
            ),
            control_point=pairs["point"],
            target=float(pairs["target"]) * MM3_PER_CC,
            old=OldDish(
                pairs["old"],
                float(pairs["old_mouth"]),
                float(pairs["old_depth"]),
                float(pairs["old_volume"]) * MM3_PER_CC,
            ),
            section=_section(pairs["cut"]) if "cut" in pairs else None,
        )
    except KeyError as error:
        raise InputError(f"the fact {error} of the made cut is missing") from None
    except (ValueError, GeometryError) as error:
        raise InputError(f"a fact of the made cut cannot be read ({error})") from None


def pairs_of(note: str) -> dict[str, str]:
    """The key=value words of a note."""
    return dict(word.split("=", 1) for word in note.split() if "=" in word)


def _one_of(word: str, known: tuple[T, ...]) -> T:
    found = next((k for k in known if k == word), None)
    if found is None:
        raise ValueError(f"{word!r} is not one of {', '.join(map(str, known))}")
    return found


def _number(value: float) -> str:
    return f"{value:.10g}"


def _segment_text(segment: Segment) -> str:
    if isinstance(segment, Line):
        return "L" + ",".join(f"{v:.12g}" for v in (segment.r1, segment.z1, segment.r2, segment.z2))
    parts = (segment.rc, segment.zc, segment.radius, segment.t1, segment.t2)
    return "A" + ",".join(f"{v:.12g}" for v in parts)


def _section(text: str) -> Chain:
    segments: list[Segment] = []
    for part in text.split(";"):
        numbers = [float(v) for v in part[1:].split(",")]
        segments.append(Line(*numbers) if part.startswith("L") else Arc(*numbers))
    return Chain(tuple(segments))
