"""How a volume answers to errors: a design's sections worked out with each error as it would really act."""

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from toolpath.forms.sections import mouth_radius
from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.reach import centre_curve, swept
from toolpath.geometry.tolerance import JOIN
from toolpath.planner.slope import slope_of
from toolpath.profile.design import Design
from toolpath.profile.dish import Search
from toolpath.profile.existing import holding
from toolpath.uncertainty.budget import Sensitivities
from toolpath.uncertainty.stages import Form

UNREAD = 2000.0  # mm3, standard uncertainty of an old dish before its reading: as good as unknown
TRIAL = 0.02  # mm by which a path is moved to see how the volume answers
LIFT = 0.002  # mm, the same for a path that is lifted
LEAST_LIP = 0.05  # rad; a mouth that runs out flatter than this tells next to nothing about the path


@dataclass(frozen=True)
class Model:
    """How the volume of a design answers to errors, worked out at an old dish larger than stated by `old`.

    `stands` is what cuts have left already, over the finished crown; None before the first.
    """

    design: Design
    old: float = 0.0  # mm3
    stands: Chain | None = None

    @cached_property
    def received(self) -> Chain:
        """The old dish as it is believed to be, crown at z = 0."""
        return self._received(0.0)

    def _received(self, more: float) -> Chain:
        section, job = self.design.received.section, self.design.received.job
        if self.old + more == 0.0:
            return section
        return holding(job.existing, section, section.volume_below() + self.old + more)

    def at_old(self) -> Design:
        """The design over the old dish as it is believed to be, and over the cuts that stand."""
        received = replace(self.design.received, section=self.received)
        return replace(self.design, received=received, stands=self.stands)

    def deep(self, depth: float) -> Design:
        """The design with its cut `depth` mm deep."""
        design = self.at_old()
        return replace(design, shape=design.shape._replace(depth=depth))

    def skimmed_form(self) -> Form:
        """After the skim, before any dish cut."""
        here = self._seen(None)
        span = self._span(UNREAD / 10)
        old = (self._seen(None, old=span) - self._seen(None, old=-span)) / (2 * span) if span else 0.0
        show = (self._seen(None, skim=-TRIAL) - self._seen(None, skim=TRIAL)) / (2 * TRIAL)
        return Form(here - old * self.old, Sensitivities(old=old, show=show + self._pockets()))

    def cut_form(self, cut: Chain, u_old: float, *, wary: bool = False) -> Form:
        """After a cut that leaves `cut` (over the finished crown) where that lies deeper than what stands.

        The old dish answers over the span of its uncertainty `u_old` (mm3), since a bowl below the new
        floor answers unevenly; `wary` takes it from the believed size upward only, so that the chance
        to overshoot is not understated.
        """
        up = self._span(2.6 * u_old if wary else 1.7 * u_old)
        down = 0.0 if wary else up

        def slope(name: Literal["dx", "insert"]) -> float:
            more, less = self._seen(cut, **{name: TRIAL}), self._seen(cut, **{name: -TRIAL})
            return (more - less) / (2 * TRIAL)

        here = self._seen(cut)
        # upward only: a deeper path also shaves the lip it goes over, by the power 1.5 of the error
        z = (here - self._seen(cut, dz=-LIFT)) / LIFT
        old = (self._seen(cut, old=up) - self._seen(cut, old=-down)) / (up + down) if up + down else 0.0
        show = (self._seen(cut, skim=-TRIAL) - self._seen(cut, skim=TRIAL)) / (2 * TRIAL)
        stand = 0.0 if self.stands is None else (here - self._seen(cut, stand=-LIFT)) / LIFT
        answers = Sensitivities(
            z=z,
            x=slope("dx"),
            insert=slope("insert"),
            old=old,
            show=show + self._pockets(),
            angle=self._angle_answer(cut),
            stand=stand,
        )
        mouth_z, mouth_insert = self._mouth_answers(cut)
        return Form(
            here - old * self.old,
            answers,
            depth=-cut.lowest,
            mouth=2 * mouth_radius(cut),
            mouth_z=mouth_z,
            mouth_insert=mouth_insert,
        )

    def _angle_answer(self, cut: Chain) -> float:
        """How the volume answers to the angle of a top slide that turns the slope, mm3 a rad; 0 without one."""
        radius = self.design.insert.radius
        if not self.design.received.job.machine.turns_slopes_by_hand:
            return 0.0
        found = slope_of(cut, radius)
        return 0.0 if found is None else found.answer(radius, mouth_radius(cut))

    def _mouth_answers(self, cut: Chain) -> tuple[float, float]:
        """How the mouth diameter of a cut answers to its depth error and to the insert radius, mm per mm.

        At a lip that rises by the angle t a path d deeper comes out d / tan t further out; an insert larger
        by e moves the surface by e * (1 - sin t - cos t) along its normal where the outer side was touched,
        by e * (1 + sin t - cos t) where the inner side was.
        """
        if cut.lowest >= 0:
            return 0.0, 0.0
        mouth = mouth_radius(cut)
        lip = [s for s in cut.segments if s.r2 <= mouth + JOIN][-1]
        t = max(lip.end_direction, LEAST_LIP)
        normal = 1 + self._side * math.sin(t) - math.cos(t)
        return 2 / math.tan(t), 2 * normal / math.sin(t)

    @property
    def _side(self) -> float:
        """1 where the insert's inner side was touched, -1 where its outer side was."""
        return 1.0 if self.design.received.job.tool.control_point == "face-inner" else -1.0

    @cached_property
    def least_seen(self) -> float:
        """What the reading would see with no dish cut at all, mm3: no cut holds less."""
        design = self.at_old()
        bare = design.shape._replace(depth=0.0)
        search = Search(bare, self.received, design.skim, 1.0, self.stands)
        return design.seen(search.volume(bare, design.skim)) + (self.old if self._bare else 0.0)

    def _span(self, wanted: float) -> float:
        """A step of the old dish's volume that leaves a dish, mm3."""
        if self._bare:
            return wanted
        return min(wanted, 0.4 * self.received.volume_below())

    @property
    def _bare(self) -> bool:
        """Whether there was no old dish, so that a reading as received sees the pockets alone."""
        return not self.design.received.job.existing.is_dish

    def _pockets(self) -> float:
        return self.design.received.pockets.area(self.design.skim)

    def seen(self, cut: Chain | None) -> float:
        """The volume that the reading would see after a cut, or of what stands, mm3."""
        return self._seen(cut)

    def removed(self, cut: Chain | None) -> float:
        """Metal that skim and cuts have taken off, mm3, edge break included once a dish is cut."""
        design, skim = self.design, self.design.skim
        stock = self.received.moved(skim)
        left = deeper(stock, Chain.flat(0.0, stock.outer))
        for patch in (self.stands, cut, None if cut is None else design.edge):
            left = left if patch is None else deeper(left, patch)
        pockets = design.received.pockets
        above = pockets.volume(0.0, shared=False) - pockets.volume(skim, shared=False)
        return left.volume_below(skim) - stock.volume_below(skim) - above

    def _seen(
        self,
        cut: Chain | None,
        *,
        dz: float = 0.0,
        dx: float = 0.0,
        insert: float = 0.0,
        old: float = 0.0,
        skim: float = 0.0,
        stand: float = 0.0,
    ) -> float:
        """The volume that the reading sees, mm3, with the errors (mm, mm3) as they would really act.

        `dz`, `skim` and `stand` (of the cuts before) are positive downward, `dx` outward. X setting and insert
        are those of every cut, so what stands moves with them.
        """
        design = self.design
        section = self.received if old == 0.0 else self._received(old)
        surface = deeper(section.moved(design.skim + skim), Chain.flat(0.0, design.received.outer))
        if self.stands is not None:
            surface = deeper(surface, self._really(self.stands, stand, dx, insert))
        if cut is not None:
            surface = deeper(surface, self._really(cut, dz, dx, insert))
        pockets = self.old + old if self._bare else 0.0
        return surface.volume_below() + design.received.beside(design.skim, cut=cut is not None) + pockets

    def _really(self, cut: Chain, dz: float, dx: float, insert: float) -> Chain:
        """What a finishing path dz deeper and dx further out leaves with a larger insert, as far as it reaches.

        The floor is right by touch-off in every case; the wall too where the outer side was touched, while
        the inner side puts it out by twice the error.
        """
        if dz == dx == insert == 0.0 or cut.lowest >= 0:
            return cut
        radius = self.design.insert.radius
        mouth = mouth_radius(cut)
        path = centre_curve(cut, radius).clipped(0.0, min(mouth, cut.outer))
        moved = path.shifted(dx + self._side * insert, insert - dz)
        return swept(moved, radius + insert, cut.outer)

    def depth_for(self, seen: float) -> float:
        """The depth of cut at which the reading would see `seen` mm3 over the old dish as believed.

        Raises:
            Stopped: no depth reaches it.
        """
        design = self.at_old()
        turned = seen - design.received.beside(design.skim, cut=True) - (self.old if self._bare else 0.0)
        job = design.received.job
        deepest = job.piston.underside_depth or design.received.outer
        search = Search(
            design.shape, self.received, design.skim, max(deepest - design.skim, 1e-3), self.stands
        )
        return search.solved("depth", lambda _: turned)[0].depth or 0.0
