"""Every move of a small plan, written out by hand, and where the insert goes after each kind of pass."""

import pytest

from tests.sample_jobs import job_file
from toolpath.api import load_job
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line as Flat
from toolpath.moves import (
    Begin,
    Coolant,
    FixedSpeed,
    Index,
    Line,
    Rapid,
    Remark,
    SpeedCap,
    SpindleStop,
    Stop,
    SurfaceSpeed,
)
from toolpath.planner.asked import proof_of
from toolpath.planner.entry import Leg
from toolpath.planner.passes import Pass
from toolpath.planner.plan import Plan, Work
from toolpath.planner.steps import NAMES, Proof, Running, steps_of
from toolpath.planner.stock import Stock
from toolpath.tool.stated import insert_of

RADIUS, OUTER = 4.0, 45.0
CROWN = Chain.flat(0.0, OUTER)
STOCK = Stock(CROWN, CROWN, RADIUS)
RUNNING = Running(
    feed=0.1,
    finish_feed=0.1,
    surface_speed=200.0,
    finish_speed=200.0,
    rpm_limit=2000.0,
    start_rpm=800.0,
    finish_rpm=800.0,
    sense="ccw",
    coolant=True,
    stops=True,
    safe_z=6.0,
    clearance=1.0,
    air_feed=0.3,
    start_x=60.0,
    start_z=50.0,
)


def one(kind, x1, z1, x2, z2, *, outward=True, descend=5.0):
    """A pass of a single straight leg between (x1, z1) and (x2, z2), x1 < x2."""
    return Pass(kind, (Leg(Chain((Flat(x1, z1, x2, z2),)), outward),), descend, 0.1, STOCK)


def moves(*passes, running=RUNNING):
    return tuple(s.move for s in steps_of(Plan(Work(STOCK, 0.0, CROWN, 20.0), passes, STOCK), running))


SKIM = one("skim", 2.0, 4.0, 50.0, 4.0, outward=False, descend=4.0)
ROUGH = one("rough", 10.0, 3.5, 20.0, 3.5)
DEEPER = one("rough", 10.0, 3.0, 20.0, 3.2)
FINISH = one("finish", 10.0, 2.9, 20.0, 3.1)
BREAK = one("break", 42.0, 3.5, 44.0, 3.0)


def test_a_skim_a_look_and_two_levels():
    assert moves(SKIM, ROUGH, DEEPER) == (
        SpindleStop(),
        Stop(optional=False, text="Tool clear, turret free to swing"),
        Begin(1, "Skim"),
        SpeedCap(2000.0),
        FixedSpeed(800.0, start="ccw"),
        Coolant(True),
        Rapid(z=50.0),
        Rapid(x=60.0),
        Rapid(z=6.0),
        Rapid(x=50.0),
        Rapid(z=4.0),
        SurfaceSpeed(200.0),
        Line(49.0, 4.0, 0.3),
        Line(2.0, 4.0, 0.1),
        Line(2.0, 4.3, 0.3),
        FixedSpeed(800.0),
        Rapid(z=31.0),
        Rapid(x=60.0),
        Coolant(False),
        SpindleStop(),
        Stop(optional=True, text="Clear chips, look at the insert"),
        Begin(2, "Dish roughing", "Skim"),
        SpeedCap(2000.0),
        FixedSpeed(800.0, start="ccw"),
        Coolant(True),
        Rapid(z=6.0),
        Rapid(x=10.0),
        Rapid(z=5.0),
        SurfaceSpeed(200.0),
        Line(10.0, 4.0, 0.3),  # onto metal at the feed of the cut
        Line(10.0, 3.5, 0.1),
        Line(20.0, 3.5, 0.1),
        Line(19.7, 3.8, 0.3),
        Rapid(z=5.0),  # a clearance over the crown's centre height: lower than the safe height
        Rapid(x=10.0),
        Rapid(z=5.0),
        Line(10.0, 4.0, 0.3),
        Line(10.0, 3.0, 0.1),
        Line(20.0, 3.2, 0.1),
        Line(19.7, 3.5, 0.3),
        FixedSpeed(800.0),
        Rapid(z=50.0),
        Rapid(x=60.0),
        Coolant(False),
        SpindleStop(),
    )


def test_at_a_fixed_speed_no_other_is_asked_for():
    made = moves(SKIM, ROUGH, running=RUNNING._replace(surface_speed=None, coolant=False))
    speeds = [m for m in made if isinstance(m, FixedSpeed)]
    assert speeds == [FixedSpeed(800.0, start="ccw")] * 2  # again after the look
    assert not any(isinstance(m, SpeedCap | SurfaceSpeed) or m == Coolant(True) for m in made)


@pytest.mark.parametrize(
    ("before", "after", "looks"),
    [
        (SKIM, ROUGH, 1),
        (SKIM, FINISH, 1),
        (BREAK, ROUGH, 1),
        (SKIM, BREAK, 0),
        (BREAK, SKIM, 0),
        (ROUGH, DEEPER, 0),
        (ROUGH, FINISH, 1),
        (FINISH, FINISH, 0),
        (FINISH, BREAK, 0),
        (ROUGH, BREAK, 0),
    ],
    ids=lambda p: p.kind if isinstance(p, Pass) else str(p),
)
def test_looks_at_the_insert(before, after, looks):
    assert sum(isinstance(m, Stop) and m.optional for m in moves(before, after)) == looks
    none = moves(before, after, running=RUNNING._replace(stops=False))
    assert not any(isinstance(m, Stop) and m.optional for m in none)


def test_the_proof_stands_between_the_tool_call_and_the_first_section():
    proof = Proof(41.0, 24.0, "PISTON 3 OF 4 - LAST CUT - GAUGE 20 MM")
    made = moves(SKIM, running=RUNNING._replace(proof=proof))
    assert made[:8] == (
        SpindleStop(),
        Stop(optional=False, text="Tool clear, turret free to swing"),
        Begin(),
        Rapid(z=50.0),
        Rapid(x=41.0),
        Rapid(z=24.0),
        Stop(optional=False, text="PISTON 3 OF 4 - LAST CUT - GAUGE 20 MM"),
        Begin(1, "Skim"),
    )


@pytest.mark.parametrize(("skim", "gap"), [(0.5, "19.500 MM"), (0.0, None), (25.0, "15.000 MM")])
def test_the_proof_says_the_gap_to_a_crown_that_is_not_faced_yet(skim, gap):
    """The gauge is counted from the finished crown: over metal to be skimmed it would not go in."""
    job = load_job(job_file("pump-engine"))
    proof = proof_of(job, insert_of(job), skim, "PISTON 1")
    assert proof is not None
    assert proof.gap == (gap if gap is None else f"Gap to the crown as it stands: {gap}")
    made = moves(SKIM, running=RUNNING._replace(proof=proof))
    assert (Remark(proof.gap) in made) if gap else made[5] == Rapid(z=proof.z)


@pytest.mark.parametrize(
    ("index", "away"),
    [("home", (Index("z"), Index("x"))), ((-90.0, 5.0), (Index("z", 5.0), Index("x", -90.0)))],
)
def test_the_turret_swings_where_the_job_says(index, away):
    made = moves(SKIM, running=RUNNING._replace(swing=index))
    assert made[:4] == (SpindleStop(), *away, Begin(1, "Skim"))


def test_a_start_lower_than_the_look_is_not_left():
    made = moves(SKIM, ROUGH, running=RUNNING._replace(start_z=20.0))
    assert max(m.z for m in made if isinstance(m, Rapid) and m.z is not None) == 20.0


@pytest.mark.parametrize(
    ("leg", "left"),
    [
        (SKIM, (2.0, 4.3)),
        (ROUGH, (19.7, 3.8)),
        (FINISH, (19.7, 3.4)),
        (one("semi", 10.0, 3.0, 10.1, 3.1), (10.0, 3.4)),  # no further back than where it began
        (one("rough", 10.0, 3.0, 20.0, 4.0, outward=False), (10.0, 3.3)),
        (BREAK, (44.3, 3.3)),
    ],
    ids=["skim", "rough", "finish", "short", "inward", "break"],
)
def test_the_insert_leaves_the_wall_at_feed(leg, left):
    lines = [m for m in moves(leg) if isinstance(m, Line)]
    assert (lines[-1].x, lines[-1].z) == pytest.approx(left)
    assert lines[-1].feed == RUNNING.air_feed


def test_every_kind_has_its_name():
    kinds = ("skim", "break", "rough", "semi", "finish")
    made = moves(*(one(kind, 10.0, 3.0, 20.0, 3.0) for kind in kinds))
    told = [m.text if isinstance(m, Remark) else m.title for m in made if isinstance(m, Remark | Begin)]
    assert told == [NAMES[kind] for kind in kinds]


def test_no_second_rapid_to_the_same_x():
    """The pass before ended 0.3 mm inside 20.3, where the next begins."""
    ends_there = one("rough", 10.0, 3.0, 20.3, 3.0)
    begins_there = one("rough", 20.0, 3.0, 30.0, 3.0)._replace(descend=5.0)
    made = moves(ends_there, begins_there)
    assert [m.x for m in made if isinstance(m, Rapid) and m.x is not None] == [60.0, 10.0, 60.0]
