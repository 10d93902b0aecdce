"""Recuts to draw: the samples, and jobs made up from a number."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import matplotlib as mpl
import pytest

from toolpath.errors import DishpathError
from toolpath.job.load import load
from toolpath.job.model import Job
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.card import card
from toolpath.paper.pages import job_sheet
from toolpath.paper.subject import CutOnPaper
from toolpath.program.by_hand import ByHand, table_of
from toolpath.program.frames import HAND
from toolpath.program.text import made
from toolpath.recut import Recut, resolve
from toolpath.reference import folder, table
from toolpath.report.figures import Report
from toolpath.report.made import report_with_program, report_with_table
from toolpath.tool.insert import decode

SAMPLES = ("pump-engine", "blank-bowl", "four-valve", "tractor-pair")
POSTS = ("iso6983", "system-a", "rs274ngc", HAND)


@dataclass(frozen=True)
class Drawn:
    """A recut with everything that goes on paper."""

    recut: Recut
    report: Report
    by_hand: ByHand

    @property
    def cut(self) -> CutOnPaper:
        """What goes on its paper."""
        return CutOnPaper(self.recut, self.report, self.by_hand, "job")

    def sheet(self, paper: style.Paper = "a4", *, rows: bool = True) -> list[Page]:
        """The pages of its job sheet."""
        with mpl.rc_context(style.SETTINGS):
            return [done(page) for page in job_sheet(self.cut, paper, rows=rows)]

    def card(self, paper: style.Paper = "a4", *, rows: bool = False) -> list[Page]:
        """The pages of its card."""
        with mpl.rc_context(style.SETTINGS):
            return [done(page) for page in card(self.cut, paper, rows=rows)]


def done(page: Page) -> Page:
    """The page with everything on it."""
    page.done()
    return page


def job_of(text: str) -> Job:
    """The job of a TOML text."""
    return load(
        text,
        name="job.toml",
        known_materials=frozenset(table("materials")),
        known_posts=frozenset(POSTS),
        insert_radius=lambda designation: decode(designation).radius,
    )


def drawn(text: str) -> Drawn | None:
    """What is drawn for a job; None where a finding forbids the cut."""
    recut = resolve(job_of(text))
    return None if recut.stopped else with_report(recut)


def with_report(recut: Recut) -> Drawn:
    """A recut with its table and report."""
    by_hand = table_of(recut)
    program = None if recut.job.machine.post == HAND else made(recut)
    if program is None:
        return Drawn(recut, report_with_table(recut, by_hand), by_hand)
    return Drawn(recut, report_with_program(recut, program, "job.nc", by_hand), by_hand)


@cache
def sample(name: str) -> Drawn:
    """What is drawn for a sample."""
    found = drawn((folder("samples") / f"{name}.toml").read_text(encoding="utf-8"))
    assert found is not None
    return found


def made_up(seed: int) -> str:
    """A job of any size and shape; many of them cannot be cut."""
    r = random.Random(seed)
    crown = r.choice((24, 40, 60, 75, 84, 90, 102, 130, 200, 390)) * r.uniform(0.95, 1.02)
    inch = r.random() < 0.3
    unit = 25.4 if inch else 1.0

    def length(mm: float) -> str:
        return f"{mm / unit:.5f}"

    insert = min(r.choice((3.0, 5.0, 6.0, 8.0, 10.0, 12.7, 16.0, 20.0)), 0.25 * crown)
    mouth = crown * r.uniform(0.35, 0.85)
    depth = max(0.4, r.choice((0.015, 0.03, 0.06, 0.12, 0.2)) * mouth)
    skim = r.choice((0.0, 0.1, 0.5, 1.0))
    form = r.choice(("flat", "flat", "spherical", "tapered"))
    lines = [
        f'units = "{"inch" if inch else "mm"}"',
        f'title = "{"Trial " * r.randint(1, 9)}piston"',
        f'[piston]\ncrown_diameter = {length(crown)}\nmaterial = "{r.choice(("cast-iron", "aluminium-silicon"))}"',
    ]
    if r.random() < 0.7:
        lines.append(f"underside_depth = {length(skim + 2.2 * depth + 0.06 * crown)}")
    if r.random() < 0.7:
        lines.append(f"top_land = {length(skim + 0.08 * crown)}")
    old = r.choice(("none", "spherical", "flat"))
    lines.append(f'[existing]\nform = "{old}"')
    if old != "none":
        lines.append(f"mouth_diameter = {length(mouth * r.uniform(0.6, 1.0))}")
        lines.append(f"depth = {length(skim + depth * r.uniform(0.2, 1.3))}")
    if old == "flat":
        lines.append(f"corner_radius = {length(0.3 * insert)}")
    lines.append(f"[crown]\nskim = {length(skim)}")
    if r.random() < 0.4:
        lines.append(f"edge_break = {length(0.004 * crown)}")
    lines.append(f'[dish]\nform = "{form}"\nmouth_diameter = {length(mouth)}\ndepth = {length(depth)}')
    if form == "tapered":
        lines.append(f"floor_angle = {r.uniform(0.5, 3):.2f}")
    if form != "spherical" and r.random() < 0.5:
        lines.append(f"corner_radius = {length(insert * r.uniform(0.5, 1.2))}")
    if r.random() < 0.3:
        lines.append(f"lip_break = {length(0.003 * crown)}")
    lines.append(f"[tool]\ninsert_diameter = {length(insert)}\nrelief = {r.choice((7, 11, 15))}")
    lines.append(f'control_point = "{r.choice(("face-outer", "insert-centre"))}"')
    if r.random() < 0.6:
        lines.append(f"thickness = {length(0.3 * insert)}")
    if r.random() < 0.4:
        lines.append(
            f'[holder]\ndirection = "z"\nwidth = {length(0.5 * insert)}\nset_back = {length(0.3 * insert)}'
        )
    lines.append(
        f"[cutting]\nfixed_rpm = 600\nfeed = {length(0.02 * insert)}\n"
        f"skim_depth_of_cut = {length(0.3)}\ndish_depth_of_cut = {length(max(0.2, depth / 9))}\n"
        f'step_height = "0.1 mm"\n[machine]\npost = "{r.choice(POSTS)}"'
    )
    return "\n".join(lines)


def some(count: int) -> list[Drawn]:
    """The first made-up jobs that can be cut."""
    out: list[Drawn] = []
    seed = 0
    while len(out) < count:
        seed += 1
        try:
            found = drawn(made_up(seed))
        except DishpathError:
            continue
        if found is not None:
            out.append(found)
    return out


@pytest.fixture(name="sample", params=SAMPLES)
def _sample(request: pytest.FixtureRequest) -> Drawn:
    return sample(request.param)


@pytest.fixture(name="pump")
def _pump() -> Drawn:
    return sample("pump-engine")


@pytest.fixture(name="draw")
def _draw() -> Callable[[str], Drawn | None]:
    return drawn


@pytest.fixture(name="some")
def _some() -> Callable[[int], list[Drawn]]:
    return some
