"""Any table, cut by the independent reader: its volume, its stops, its step_height, and the next count."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from toolpath.findings import Stopped
from toolpath.forms import sections
from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.segments import Line
from toolpath.planner.passes import Rules, bite
from toolpath.planner.plan import Work, finished_section
from toolpath.planner.stock import Stock
from toolpath.profile.dish import Shape, skimmed_section
from toolpath.readback.verdict import Readback, Wanted, readback_rows
from toolpath.table.readout import Readout
from toolpath.table.rows import LEAST_ABOUT_AXIS
from toolpath.table.solved import MOST_ROWS, DroPlan, Steps, left_by, table_for

OUTER = 45.2
DIALS = {"mm": (None, 0.02, 0.025, 0.05, 0.1), "inch": (None, 0.001 * 25.4, 0.002 * 25.4)}
MOST_LEFT = 50.0  # mm3, half of a tolerance of 0.1 cc
STEPS = {"mm": (0.005, 0.01, 0.02), "inch": (0.0005 * 25.4, 0.001 * 25.4)}


@dataclass(frozen=True)
class Job:
    """A dish to cut; mm and radii."""

    shape: Shape
    depth: float
    received: Chain
    skim: float
    rules: Rules
    step_height: float | None

    @property
    def old(self) -> Chain:
        return self.received.moved(self.skim)

    def work(self, depth: float) -> Work:
        stock = Stock.received(self.old, self.shape.insert_radius, off_centre=0.3, depth_uncertain=0.2)
        skimmed = skimmed_section(self.old)
        shape = self.shape._replace(depth=depth)
        cut = shape.cut(self.old, skimmed)
        return Work(stock, self.skim, cut, sections.mouth_radius(deeper(skimmed, cut)))

    def table(self, readout: Readout) -> tuple[DroPlan, float]:
        """The table and its target, mm3: the exact volume of the job's depth."""
        target = deeper(skimmed_section(self.old), self.work(self.depth).cut).volume_below()
        return table_for(
            self.work, self.depth, readout, self.rules, Steps(self.step_height, MOST_LEFT)
        ), target


RULES = Rules(0.25, 0.5, 0.15, math.radians(3), 1.0, 0.5)
BOWL = sections.spherical(32.0, 4.5, OUTER)
NONE = Chain.flat(0.0, OUTER)
WITH_BOSS = ((0.0, -2.0), (8.0, -2.3), (16.0, -4.0), (24.0, -3.4), (30.0, 0.0))


def cut_by_reader(plan: DroPlan, readout: Readout) -> Readback:
    unit = 25.4 if readout.units == "inch" else 1.0
    setup = Wanted(
        "dro-table",
        readout.units,
        readout.x_reading,
        readout.control_point,
        readout.insert_radius,
        stock=plan.work.stock.surface,
        finished=finished_section(plan.work),
        expected_volume=plan.as_cut,
        counted_radius=OUTER,
        pockets=0.0,
        decimals=readout.decimals,
        resolution=readout.resolution / unit,
    )
    return readback_rows([(r.z, r.x_start, r.x_stop) for r in plan.rows], setup)


def centre(readout: Readout, x: float, z: float) -> tuple[float, float]:
    """The insert's centre (mm) at what the readout shows, by the definition of the control points."""
    unit = 25.4 if readout.units == "inch" else 1.0
    radius = readout.insert_radius
    x *= unit / (2 if readout.x_reading == "diameter" else 1)
    side, front = {"insert-centre": (0, 0), "face-outer": (-1, 1), "face-inner": (1, 1)}[
        readout.control_point
    ]
    return x + side * radius, z * unit + front * radius


@st.composite
def readouts(draw: st.DrawFn, radius: float) -> Readout:
    units = draw(st.sampled_from(("mm", "inch")))
    return Readout(
        draw(st.sampled_from(("insert-centre", "face-outer", "face-inner"))),
        radius,
        units,
        draw(st.sampled_from(("diameter", "radius"))),
        draw(st.sampled_from(STEPS[units])),
        draw(st.sampled_from(DIALS[units])),
    )


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    radius = draw(st.sampled_from((3.175, 4.0, 5.0)))
    mouth, depth = draw(st.floats(24, 38)), draw(st.floats(0.8, 6))
    old = draw(st.sampled_from(("none", "bowl", "flat")))
    received = NONE
    if old == "bowl":
        received = sections.spherical(draw(st.floats(15, 32)), draw(st.floats(1, 5)), OUTER)
    elif old == "flat":
        received = sections.flat(draw(st.floats(12, 30)), draw(st.floats(1, 4)), OUTER, corner=3.0)
    corner = radius + draw(st.floats(0, 4))
    form = draw(st.sampled_from(("flat", "spherical", "tapered", "deepened", "points")))
    # the lip of an old dish that stays wider is filed by hand
    narrower = sections.mouth_radius(received) < mouth - 2 or old == "none"
    lip = draw(st.sampled_from((0.0, 0.4))) if form == "flat" and narrower else 0.0
    if form == "deepened":
        depth, mouth = max(0.0, -received.lowest) + draw(st.floats(0.3, 2)), None
    shape = Shape(
        form,
        radius,
        mouth=mouth,
        corner=corner,
        wall=draw(st.floats(0, 0.3)) if form == "flat" else 0.0,
        fall=draw(st.floats(0.005, 0.08)) if form == "tapered" else 0.0,
        points=WITH_BOSS if form == "points" else (),
        lip=lip,
        lip_form=draw(st.sampled_from(("chamfer", "radius"))),
    )
    dish_depth = draw(st.floats(0.3, 0.8))
    skim = draw(st.sampled_from((0.0, 0.3, 0.4571)))
    rules = Rules(0.25, dish_depth, draw(st.floats(0.05, 0.2)), math.radians(3), 1.0, 0.5)
    return Job(shape, depth, received, skim, rules, draw(st.sampled_from((None, 0.01, 0.02, 0.04))))


@given(st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_every_table(data: st.DataObject) -> None:
    job = data.draw(jobs())
    readout = data.draw(readouts(job.shape.insert_radius))
    try:
        plan, target = job.table(readout)
    except Stopped:
        return  # a form that cannot be made there
    done = cut_by_reader(plan, readout)

    assert done.ok, [f.line() for f in done.findings]
    assert done.volume == pytest.approx(plan.as_cut, abs=1.0)
    assert plan.blended + plan.over_crown <= target + 1e-6
    assert done.gouge < 1e-6
    # one count of Z where it is coarser than the step_height, and what rounding a stop may leave
    if job.step_height is not None:
        fine = max(job.step_height, readout.resolution) + readout.x_step + job.step_height / 4
        pip = LEAST_ABOUT_AXIS * math.tan(job.shape.fall)  # no row plunges at the axis
        assert done.stock_left <= fine + pip, done.stock_left
    assert plan.step_left <= done.stock_left + 0.002
    assert plan.left_to_blend >= -1e-6
    assert plan.depth <= -job.work(job.depth).cut.lowest + 1e-9

    section, radius = finished_section(plan.work), readout.insert_radius
    for row in plan.rows:
        for x, z in (centre(readout, row.x_start, row.z), centre(readout, row.x_stop, row.z)):
            assert x >= -1e-9
            assert z >= radius + section.lowest - 1e-9
        (x1, z), (x2, _) = centre(readout, row.x_start, row.z), centre(readout, row.x_stop, row.z)
        path = np.column_stack((np.linspace(x1, x2, 200), np.full(200, z)))
        inside = path[path[:, 0] < OUTER]
        assert section.distances(inside).min(initial=radius) >= radius - 1e-6
        assert (inside[:, 1] > section.heights(inside[:, 0])).all()

    try:  # a count deeper would be over, or gives nothing more
        work = job.work(plan.depth + readout.resolution)
    except Stopped:
        return
    deep = deeper(skimmed_section(job.old), work.cut).volume_below()
    assert deep + plan.over_crown > target - 1.0 or deep <= plan.blended + 1e-6 or plan.depth == 0.0


@given(st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_every_row_is_one_that_a_hand_works(data: st.DataObject) -> None:
    """Whole steps and the odd rest last, few rows or little to blend, no step deeper than asked for."""
    job = data.draw(jobs())
    readout = data.draw(readouts(job.shape.insert_radius))
    try:
        plan, _ = job.table(readout)
    except Stopped:
        return
    for kind, depth in (("skim", job.rules.skim_depth), ("rough", job.rules.dish_depth)):
        heights = list(dict.fromkeys(c.z for c in plan.cuts if c.cut == kind))
        steps = [a - b for a, b in pairwise(heights)]
        whole = readout.step(depth)
        per = None if readout.handwheel_division is None else readout.handwheel_division / readout.resolution
        for step in steps[:-2]:  # a level without metal is passed over
            assert step % whole == 0
        if per is not None and whole * readout.resolution >= readout.handwheel_division:
            assert whole / per == pytest.approx(round(whole / per))
        if kind == "skim" and heights:
            top = readout.z_over(job.skim + readout.insert_radius)
            assert max(a - b for a, b in pairwise([top, *heights])) <= whole
            steps = [a - b for a, b in pairwise([top, *heights])]
            if len(steps) > 1:
                assert steps[-1] >= whole / 2 - (per or 1) or steps[-1] + steps[-2] > whole
    dish = [c for c in plan.cuts if c.cut != "skim"]
    if job.step_height is None and len(dish) > MOST_ROWS:
        # no coarser steps would have done, or the depth of cut takes so many
        assert plan.step_left < job.rules.dish_depth
        assert plan.left_to_blend <= MOST_LEFT or plan.step_left <= 0.05
    metal = plan.work.stock.surface
    for cut in plan.cuts:
        if cut.cut == "step":
            at = np.linspace(*sorted((readout.x(cut.x_start), readout.x(cut.x_stop))), 50)
            over = metal.heights(at[at < OUTER]) - (readout.z(cut.z) - readout.insert_radius)
            assert over.max(initial=0.0) <= max(job.rules.dish_depth, readout.resolution) + 1e-6
        metal = left_by([cut], metal, readout)


FLAT = Shape("flat", 5.0, mouth=34.0, corner=8.0)
SPHERE = Shape("spherical", 5.0, mouth=34.0)
BOSS = Shape("points", 4.0, mouth=30.0, points=WITH_BOSS)


@pytest.mark.parametrize("received", [NONE, BOWL], ids=["solid", "old bowl"])
@pytest.mark.parametrize(
    ("shape", "depth"), [(FLAT, 4.3), (SPHERE, 6.3), (BOSS, 5.5)], ids=lambda s: str(s)[:12]
)
@pytest.mark.parametrize("step_height", [None, 0.02], ids=["24 rows", "0.02"])
def test_rows_start_in_air_or_with_bites_and_take_no_more_than_asked(
    received: Chain, shape: Shape, depth: float, step_height: float | None
) -> None:
    job = Job(shape, depth, received, 0.5, RULES, step_height)
    readout = Readout("face-outer", shape.insert_radius, "mm", "diameter", 0.01)
    plan, _ = job.table(readout)
    stock = plan.work.stock
    for row in plan.rows:
        (x1, z), (x2, _) = centre(readout, row.x_start, row.z), centre(readout, row.x_stop, row.z)
        if "bites" not in row.how and x1 < OUTER:
            assert stock.wary_centre.at(x1) <= z + 0.02, row
        lo, hi = sorted((x1, x2))
        after = stock.after([Chain((Line(lo, z, hi, z),))])
        most = RULES.skim_depth if row.cut == "skim" else RULES.dish_depth
        assert 0.0 < bite(stock, after) <= most + readout.resolution, row
        stock = after
