"""The dish as received, and the pockets beside it."""

from collections.abc import Iterator
from typing import NamedTuple

from toolpath.drawing.outline import outline_of
from toolpath.drawing.sheet import DrawingSheet
from toolpath.findings import Finding, Stopped
from toolpath.forms.measured import Tracks
from toolpath.forms.table import EXISTING
from toolpath.geometry.chain import Chain
from toolpath.job.work import Existing, Pocket
from toolpath.units import cc


class Pockets(NamedTuple):
    """All pockets of a crown, mm3 and mm2; what they share with the dish is counted once."""

    pockets: tuple[Pocket, ...] = ()

    def volume(self, skim: float, *, shared: bool = True) -> float:
        """What the pockets add to the dish once `skim` mm is off the crown, mm3; alone if nothing is shared.

        A skim takes skim * (A0 + A1) / 2 of each (a frustum's mean area; exact for upright walls).
        """
        return sum(max(0.0, self._left(p, skim) - shared * p.overlap) for p in self.pockets)

    def area(self, skim: float) -> float:
        """Plan area of the pockets still open at the crown after the skim, mm2."""
        return sum(_area_after(p) for p in self.pockets if self._left(p, skim) > 0)

    @staticmethod
    def _left(pocket: Pocket, skim: float) -> float:
        return max(0.0, pocket.volume - skim * (pocket.area + _area_after(pocket)) / 2)

    def findings(self, skim: float, *, plate: bool) -> list[Finding]:
        """Notes on slanted walls, and the stop for an edge-open pocket read under a plate."""
        out = []
        for k, p in enumerate(self.pockets, 1):
            if skim > 0 and p.area_after_skim is None:
                out.append(
                    Finding(
                        "note",
                        "pocket-walls-upright",
                        f"pocket {k} is taken to have upright walls, so that its area stays the same over the "
                        f"{skim:.3f} mm of the skim",
                        p.area,
                        None,
                        "mm2",
                        "state area_after_skim_mm2 if its walls slope",
                    )
                )
            if p.open_to_edge and plate:
                out.append(
                    Finding(
                        "refused",
                        "pocket-open-to-edge",
                        f"pocket {k} is open to the crown's edge (pocket.open_to_edge), where a plate on "
                        "the crown cannot seal it",
                        advice='read down the bore instead: burette.method = "down-the-bore"',
                    )
                )
        return out


def _area_after(pocket: Pocket) -> float:
    return pocket.area if pocket.area_after_skim is None else pocket.area_after_skim


def as_received(existing: Existing, outer: float, pockets: float) -> tuple[Chain, list[Finding]]:
    """The section as received, its crown at z = 0, and what is to be said about it.

    `outer` is the crown's radius in mm, `pockets` what the pockets add in mm3: a burette reading
    contains them, so the turned part is the reading less the pockets.

    Raises:
        Stopped: the statements make no dish on this crown.
    """
    turned = existing.volume
    if turned is not None and existing.volume_from == "reading":
        turned -= pockets
        if turned <= 0:
            raise Stopped(
                Finding(
                    "refused",
                    "pockets-over-reading",
                    "the reading, existing.volume_cc, is not larger than the pockets alone",
                    cc(existing.volume or 0.0),
                    cc(pockets),
                    "cc",
                    "check it, and volume_cc of each [[pocket]]",
                )
            )
    section, found = EXISTING[existing.form].build(existing, turned, outer)
    if existing.points_file is not None:
        found = [*found, *_scatter(existing.points_file, existing.depth_uncertain)]
    if existing.drawing is not None:
        found = [taken_from("existing", existing.drawing, existing.layer), *found]
    return section, found


def taken_from(table: str, drawing: DrawingSheet, layer: str | None) -> Finding:
    """What was taken from a drawing, said so that it can be compared with the sheet."""
    outline = outline_of(drawing, layer)
    what = f"{table}: {outline.told}; its mouth is {2 * outline.mouth:.3f} mm across, at depth"
    return Finding("note", "drawing-read", what, -outline.chain.lowest, None, "mm")


def _scatter(measured: Tracks, allowed: float) -> Iterator[Finding]:
    """How far the points of a file scatter; a warning where it is more than the job allows for."""
    found = measured.scatter()
    if found is None:
        return
    scatter, most, diameter = found
    of = f"the {len(measured.tracks)} tracks" if len(measured.tracks) > 1 else "the points"
    apart = "from each other" if len(measured.tracks) > 1 else "off the curve through the others"
    yield Finding(
        "warning" if most > allowed else "note",
        "points-scatter",
        f"{of} of {measured.name} scatter by {scatter:.3f} mm (standard deviation) and lie up to "
        f"{most:.3f} mm {apart}, at diameter {diameter:.2f} mm",
        most,
        allowed,
        "mm",
        "measure there again, or state a larger existing.depth_uncertain",
    )


def holding(existing: Existing, section: Chain, turned: float) -> Chain:
    """The same kind of dish with the same mouth, but a turned volume of `turned` mm3."""
    return section if turned <= 0 else EXISTING[existing.form].holding(existing, section, turned)
