"""Dishes, a bar and ways over them, for holders whose gaps can be checked by head."""

import math

import shapely

from toolpath.forms import sections
from toolpath.geometry.chain import Chain
from toolpath.job.means import Holder
from toolpath.moves import Rapid
from toolpath.planner.passes import Rules
from toolpath.planner.plan import Work, planned
from toolpath.planner.steps import Running, Step, steps_of
from toolpath.planner.stock import Stock
from toolpath.tool.insert import Insert

INSERT = Insert(radius=5.0, relief=math.radians(7.0), thickness=4.0)


OUTER = 45.0


RUNNING = Running(
    *(0.1, 0.1, None, None, 1000.0, 1000.0, 1000.0, "cw", False, False),
    safe_z=30.0,
    clearance=1.0,
    air_feed=0.3,
    start_x=80.0,
    start_z=60.0,
)


def idle(section: Chain) -> Stock:
    """A piston to which nothing is done."""
    return Stock(section, section, INSERT.radius)


def along(*places: tuple[float, float]) -> tuple[Step, ...]:
    """Rapids from place to place of the insert's centre, X first."""
    return tuple(Step(move, "rapid") for x, z in places for move in (Rapid(x=x), Rapid(z=z)))


PAN = sections.flat(30.0, 10.0, OUTER)  # square corner at r 30, z -10


BAR = shapely.box(-4.0, -4.0, 4.0, 60.0)


def dished(depth: float, mouth: float = 30.0) -> tuple[Stock, tuple[Step, ...]]:
    section = Chain.flat(0.0, OUTER)
    stock = Stock(section, section, INSERT.radius)
    rules = Rules(0.25, 0.5, 0.15, math.radians(3.0), 1.0, 1.5)
    plan = planned(Work(stock, 0.0, sections.flat(mouth, depth, OUTER, corner=5.0), mouth), rules)
    return stock, steps_of(plan, RUNNING)


def holder(**stated: object) -> Holder:
    return Holder.model_construct(**stated)
