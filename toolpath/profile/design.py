"""From a job to a section: what was there, what is wanted, and the one free value solved."""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from toolpath.findings import Finding, Stopped
from toolpath.forms.breaks import edge_patch
from toolpath.forms.sections import mouth_radius, rim, scaled
from toolpath.geometry.chain import Chain, deeper, stretches_above
from toolpath.geometry.reach import as_cut
from toolpath.geometry.tolerance import JOIN
from toolpath.job.model import Job
from toolpath.profile.asked import asked
from toolpath.profile.dish import Corner, Search, Shape, left_in_corner, sharpest, skimmed_section
from toolpath.profile.engine import Engine
from toolpath.profile.existing import Pockets, as_received, taken_from
from toolpath.tool.insert import Insert
from toolpath.units import cc

SAME_RADIUS = 1e-4  # mm; an inch corner rounded to four places is the insert's own
CLEANS_UP = 0.02  # mm of skim under which a crown keeps old metal; common practice, no source
LEAST_LEFT = 1e-3  # mm; an insert that leaves less of a lip break does cut it, and no more than this is none
LEAST_WIDER = 0.01  # mm of radius; an old mouth wider by no more than this is the one asked for


@dataclass(frozen=True)
class Received:
    """The piston before any cut, and how a reading sees it; mm and mm3."""

    job: Job
    section: Chain  # its crown at z = 0
    pockets: Pockets
    engine: Engine | None
    findings: tuple[Finding, ...]

    @classmethod
    def of(cls, job: Job) -> "Received":
        """What the job's [existing], [[pocket]] and [engine] tables say.

        Raises:
            Stopped: they make no dish on this crown.
        """
        pockets = Pockets(job.pocket)
        beside = pockets.volume(0.0)
        if job.engine is not None and _down_the_bore(job):
            beside += job.engine.crevice
        section, found = as_received(job.existing, job.piston.crown_diameter / 2, beside)
        return cls(job, section, pockets, _engine(job), tuple(found))

    @property
    def outer(self) -> float:
        """Radius of the crown's outer edge, mm."""
        return self.section.outer

    def edge(self) -> Chain | None:
        """The patch of the outer edge break."""
        crown = self.job.crown
        if not crown.edge_break:
            return None
        return edge_patch(self.outer, crown.edge_break, crown.edge_break_form)

    @cached_property
    def edge_volume(self) -> float:
        """Volume of the outer edge break, mm3."""
        patch = self.edge()
        return 0.0 if patch is None else deeper(Chain.flat(0.0, self.outer), patch).volume_below()

    def beside(self, skim: float, *, cut: bool) -> float:
        """What a reading sees besides the turned dish once `skim` is off, mm3.

        What a pocket shares with the dish is counted once; on a crown that has none yet it is the pocket's.

        Under a plate on the crown that is the pockets; down the bore also the crevice to the top
        ring and, once the crown is `cut`, its edge break.
        """
        seen = self.pockets.volume(skim, shared=cut or self.job.existing.is_dish)
        if _down_the_bore(self.job):
            seen += self.crevice(skim) + (self.edge_volume if cut else 0.0)
        return seen

    def over_crown(self, skim: float) -> float:
        """The space over the crown that a reading down the bore shows besides, once `skim` is off, mm3."""
        burette, engine = self.job.burette, self.job.engine
        if burette is None or burette.piston_below_deck is None or engine is None:
            return 0.0
        return math.pi / 4 * engine.bore**2 * (burette.piston_below_deck + skim)

    def crevice(self, skim: float) -> float:
        """The space round the top land that the skim leaves, mm3."""
        if self.engine is None:
            return 0.0
        land = self.engine.top_land
        return self.engine.crevice * (1.0 if land is None else max(0.0, 1 - skim / land))

    def hollow(self, turned: float, skim: float, *, cut: bool) -> float:
        """What the engine sees below a flat crown: dish, pockets and, once cut, the edge break, mm3."""
        shared = cut or self.job.existing.is_dish
        return turned + self.pockets.volume(skim, shared=shared) + (self.edge_volume if cut else 0.0)


def _down_the_bore(job: Job) -> bool:
    return job.burette is not None and job.burette.method == "down-the-bore"


def _engine(job: Job) -> Engine | None:
    if job.engine is None:
        return None
    e = job.engine
    return Engine(
        bore=e.bore,
        stroke=e.stroke,
        chamber=e.chamber,
        gasket_bore=e.gasket_bore,
        gasket_thickness=e.gasket_thickness,
        deck=e.deck_clearance,
        crevice=e.crevice,
        top_land=job.piston.top_land,
        min_head_room=e.min_head_room,
    )


@dataclass(frozen=True)
class Design:
    """The new dish, solved: shape, skim and sections in the finished crown's frame (mm, mm3)."""

    received: Received
    insert: Insert
    shape: Shape
    skim: float
    target: float  # as the reading sees it
    stands: Chain | None = None  # what earlier cuts have left, over the finished crown

    @cached_property
    def old(self) -> Chain:
        """The section as received, its crown at z = skim."""
        return self.received.section.moved(self.skim)

    @cached_property
    def skimmed(self) -> Chain:
        """What the skim leaves."""
        return skimmed_section(self.old)

    @cached_property
    def drawn(self) -> Chain:
        """The new cut as drawn, before any thought of the insert."""
        return self.shape.drawn(self.old)

    @cached_property
    def cut(self) -> Chain:
        """The new cut as it is to be left, with the lip break where that lies at its own mouth."""
        bare = self.shape.bare(self.old)
        return bare if self._lip is None or self.old_lip is not None else deeper(bare, self._lip)

    @cached_property
    def _lip(self) -> Chain | None:
        """The patch of the lip break where the program cuts it."""
        return None if self.lip_by_file is not None else self.shape.lip_over(self.old, self.skimmed)

    @cached_property
    def lip_by_file(self) -> float | None:
        """Volume (mm3) of a lip break that the insert cannot reach; None where it can."""
        patch = self.shape.lip_over(self.old, self.skimmed)
        if patch is None:
            return None
        bare = deeper(self.skimmed, self.shape.bare(self.old))
        broken = deeper(bare, patch)
        r = np.linspace(patch.inner, patch.outer, 33)
        # square to the break: a height beside the wall that it starts on tells nothing
        left = as_cut(broken, self.insert.radius).distances(np.column_stack((r, patch.heights(r))))
        if float(left.max()) < LEAST_LEFT:
            return None
        return broken.volume_below() - bare.volume_below()

    @cached_property
    def old_lip(self) -> Chain | None:
        """The patch of the lip break where it begins on the old dish's wall: it is cut by itself."""
        if self._lip is None:
            return None
        begins = self._lip.segments[0]
        return self._lip if self.shape.bare(self.old).at(begins.r1) > begins.z1 + JOIN else None

    @cached_property
    def finished(self) -> Chain:
        """The dish after the cut, without the outer edge break."""
        both = deeper(self.skimmed, self.cut)
        if self.stands is not None:
            both = deeper(both, self.stands)
        return both if self.old_lip is None else deeper(both, self.old_lip)

    @property
    def edge(self) -> Chain | None:
        """The patch of the outer edge break."""
        return self.received.edge()

    @property
    def depth(self) -> float:
        """Depth of the new cut on its deepest point, mm; 0 where none is needed."""
        return -self.cut.lowest if self.shape.depth else 0.0

    @property
    def mouth(self) -> float:
        """Radius of the finished mouth at the crown as a calliper finds it, over the lip break, mm."""
        return mouth_radius(self.finished)

    @property
    def bare_mouth(self) -> float:
        """The same with the lip break left out, mm."""
        return mouth_radius(deeper(self.skimmed, as_cut(self.drawn, self.insert.radius)))

    @cached_property
    def corner(self) -> Corner:
        """What the insert leaves between the drawn section and what it can cut."""
        return left_in_corner(self.drawn, self.insert.radius)

    def seen(self, turned: float) -> float:
        """What a reading of the finished piston sees for a turned volume, mm3."""
        return turned + self.received.beside(self.skim, cut=True)

    @property
    def as_received_seen(self) -> float:
        """Volume before any cut as the reading sees it, mm3."""
        return self.received.section.volume_below() + self.received.beside(0.0, cut=False)

    @property
    def skimmed_seen(self) -> float:
        """Volume after the skim as the reading sees it, mm3."""
        return self.skimmed.volume_below() + self.received.beside(self.skim, cut=False)

    def findings(self) -> list[Finding]:
        """What the section itself has to say: corners, no cut needed, form that could not be kept."""
        out = [*self.received.findings, *self._break_findings()]
        dish = self.received.job.dish
        if dish.drawing is not None:
            out.append(taken_from("dish", dish.drawing, dish.layer))
        if not self.shape.depth:
            text = "no dish cut is needed: the skimmed old dish already is the target"
            return [*out, Finding("note", "no-dish-cut", text, cc(self.skimmed_seen), None, "cc")]
        return [*out, *self._old_findings(), *self._corner_findings()]

    def _old_findings(self) -> list[Finding]:
        """What of the old dish stays: all of it, its mouth, or its floor."""
        bare = self.shape.bare(self.old)
        if not stretches_above(self.skimmed, bare, by=LEAST_LEFT):
            what = "the dish asked for lies wholly inside the old one, so no dish is cut; the old one holds"
            advice = "ask for more dish.volume_cc, dish.depth or dish.mouth_diameter if it is to change"
            return [Finding("note", "dish-inside-old", what, cc(self.skimmed_seen), None, "cc", advice)]
        out: list[Finding] = []
        asked, old = self.shape.mouth, mouth_radius(self.skimmed)
        if asked is not None and old > asked + LEAST_WIDER:
            what = "the old dish is wider after the skim than dish.mouth_diameter, so its mouth stays"
            advice = "state that mouth or a larger one, or skim more"
            out.append(Finding("warning", "old-mouth-wider", what, 2 * old, 2 * asked, "mm", advice))
        for lo, hi in stretches_above(bare, self.skimmed, by=LEAST_LEFT):
            stays = -self.skimmed.clipped(lo, hi).lowest
            if stays > self.depth + LEAST_LEFT:
                what = f"the old dish stays below the new floor inside diameter {2 * hi:.2f} mm; its depth"
                advice = "measure depths outside it; cut deeper if one floor is wanted"
                out.append(Finding("warning", "old-dish-deeper", what, stays, self.depth, "mm", advice))
        return out

    def _break_findings(self) -> list[Finding]:
        if self.lip_by_file is not None:
            what = "the insert cannot reach the lip break, so it must be filed; it counts in the target"
            advice = "file it after the last cut; until then the dish holds that much less"
            return [Finding("warning", "lip-by-file", what, cc(self.lip_by_file), None, "cc", advice)]
        break_ = self.received.job.crown.edge_break
        if break_ and mouth_radius(self.finished) > self.received.outer - break_ - JOIN:
            what = "the outer edge break runs into the dish mouth"
            room = self.received.outer - mouth_radius(self.finished)
            advice = "state a smaller crown.edge_break or dish.mouth_diameter"
            return [Finding("refused", "edge-break-meets-dish", what, break_, room, "mm", advice)]
        return []

    def _corner_findings(self) -> list[Finding]:
        out: list[Finding] = []
        radius = self.insert.radius
        tight = sharpest(self.shape)
        if tight is not None and tight < radius - SAME_RADIUS:
            of = "bowl's radius (of dish.mouth_diameter and depth)"
            if self.shape.form != "spherical":
                of = "corner radius (dish.corner_radius)"
            what = (
                f"the {of} is tighter than the insert, which would leave {self.corner.volume:.1f} mm3, "
                f"{self.corner.thickness:.3f} mm at the thickest"
            )
            out.append(
                Finding(
                    "refused",
                    "corner-under-insert",
                    what,
                    tight,
                    radius,
                    "mm",
                    "use a smaller insert or a larger dish.corner_radius",
                )
            )
        elif self.shape.takes_what_it_gets and self.corner.volume > 0.5:
            what = (
                "the drawn corners are tighter than the insert, which leaves "
                f"{cc(self.corner.volume):.3f} cc in them (the target volume allows for that); thickness left"
            )
            out.append(
                Finding(
                    "warning",
                    "corner-under-insert",
                    what,
                    self.corner.thickness,
                    None,
                    "mm",
                    "use a smaller insert if these corners must be as drawn",
                )
            )
        asked = self.shape.mouth
        if asked is not None and self.shape.fall and mouth_radius(self.drawn) < asked - 1e-3:
            what = "the sloping floor meets the crown before the stated mouth: diameter of the mouth"
            real = 2 * mouth_radius(self.drawn)
            advice = "state a smaller floor_angle or more volume"
            out.append(Finding("warning", "mouth-inside", what, real, 2 * asked, "mm", advice))
        return out


def designed(job: Job, insert: Insert, section: Chain | None = None) -> Design:
    """Solve the job's one free value: depth, mouth diameter or skim.

    `section` is the dish as received where a reading tells more of it than the job.

    Raises:
        Stopped: the dish cannot be made, or the target is out of reach.
    """
    received = Received.of(job)
    if section is not None:
        received = replace(received, section=section)
    shape, free = asked(job, insert)
    if shape.mouth is not None:
        rim(shape.mouth, received.outer)  # a mouth beyond the crown is stopped before anything is solved
    skim = _skim(job, received)
    deepest = received.outer if job.piston.underside_depth is None else job.piston.underside_depth
    if job.piston.underside_points is not None:
        deepest = min(depth for _, depth in job.piston.underside_points)

    def turned_target(skim: float) -> float:
        if job.dish.compression_ratio is not None and received.engine is not None:
            hollow = received.engine.hollow_for(job.dish.compression_ratio, skim)
            return hollow - received.hollow(0.0, skim, cut=True)
        assert job.dish.volume is not None
        return job.dish.volume - received.beside(skim, cut=True)

    search = Search(shape, received.section, skim, max(deepest - skim, 1e-3))
    if free is not None:
        shape, skim = search.solved(free, turned_target)
        if shape.dish is not None and shape.mouth is not None:  # scaled; from here on it has a depth alone
            dish = scaled(shape.dish, shape.mouth / shape.dish.outer)
            shape = shape._replace(dish=dish, mouth=None, depth=-dish.lowest)
        target = turned_target(skim) + received.beside(skim, cut=True)
    else:
        target = search.volume(shape, skim) + received.beside(skim, cut=True)
    return Design(received, insert, shape, skim, target)


def _skim(job: Job, received: Received) -> float:
    if job.crown.skim is not None:
        return job.crown.skim
    if job.crown.deck_clearance is not None and received.engine is not None:
        return received.engine.skim_for(job.crown.deck_clearance)
    if job.crown.compression_height is not None and job.piston.compression_height is not None:
        return _skim_to(job.piston.compression_height, job.crown.compression_height)
    return 0.0  # none is stated; it may be what is solved


def _skim_to(measured: float, wanted: float) -> float:
    """The skim (mm) from a measured compression height to the one wanted.

    Raises:
        Stopped: metal does not go back, or so little comes off that the crown does not clean up.
    """
    skim = measured - wanted
    if skim >= CLEANS_UP:
        return skim
    what = f"the crown stands {measured:.3f} mm over the pin: to {wanted:.3f} mm it would not clean up"
    advice = f"ask for a crown.compression_height of {measured - CLEANS_UP:.3f} mm or less"
    raise Stopped(Finding("refused", "height-reach", what, skim, CLEANS_UP, "mm", advice))
