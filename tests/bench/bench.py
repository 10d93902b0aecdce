"""Measure the tool and print one table: economy of the cut, blocks, speed, growth.

    python tests/bench/bench.py [--quick] [--jobs N]

Needs the test libraries (scipy, pygcode). Times are processor time (user and system), so that a busy
machine changes them little; what is held to a goal is a ratio of medians from this one run.
"""

import argparse
import math
import os
import platform
import sys
import tempfile
import time
import tomllib
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench import inside, processes  # noqa: E402  (the path comes first)
from tests.bench.cutting import Measured, measured  # noqa: E402
from tests.bench.jobs import shop_job  # noqa: E402
from tests.bench.plain import plain_seconds  # noqa: E402
from tests.bench.screen import screen  # noqa: E402
from tests.jobs.generator import toml  # noqa: E402
from tests.jobs.judged import read as read_job  # noqa: E402
from toolpath.geometry.chain import Chain  # noqa: E402
from toolpath.geometry.reach import centre_curve  # noqa: E402
from toolpath.geometry.tolerance import JOIN  # noqa: E402
from toolpath.motion.rounding import to_program  # noqa: E402
from toolpath.moves import Arc, Line, Rapid  # noqa: E402
from toolpath.program.frames import frame_of  # noqa: E402
from toolpath.program.timing import timing_of  # noqa: E402
from toolpath.recut import Recut, resolve  # noqa: E402
from toolpath.reference import folder  # noqa: E402

SAMPLES = ("blank-bowl", "four-valve", "pump-engine", "tractor-pair")
LONG = 10.0  # mm of feed from which a pass is held to the goals
STEEP = 8  # degrees of a ramp
PISTONS = 1000
BLOCKS = 100_000


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table; `ok` is None where no goal is set."""

    what: str
    figure: str
    goal: str = ""
    ok: bool | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """What one job's plan comes to."""

    reported_share: float
    reported_bound_s: float
    total_s: float
    passes: int
    cut: Measured
    extra_blocks: int | None  # of the finishing contour; None where nothing is finished
    blank: bool  # no old dish
    plain: float  # seconds of a control's plain facing cycle, over ours; without stops on the way


def planned(text: str) -> Plan | None:
    """Resolve and measure a job; None where a finding forbids it."""
    recut = resolve(read_job(text))
    if recut.stopped:
        return None
    assert recut.plan is not None
    timing = timing_of(recut)
    return Plan(
        reported_share=timing.economy.share,
        reported_bound_s=timing.bound_s,
        total_s=timing.times.total_s,
        passes=len(recut.plan.passes),
        cut=measured(recut),
        extra_blocks=_extra_blocks(recut),
        blank=recut.job.existing.form == "none",
        plain=plain_seconds(recut) / _without_stops(recut),
    )


def _without_stops(recut: Recut) -> float:
    machine = recut.job.machine.model_copy(update={"optional_stops": False})
    return timing_of(resolve(recut.job.model_copy(update={"machine": machine}))).times.total_s


def generated(seed: int) -> Plan | None:
    """The plan of a made-up shop job."""
    return planned(shop_job(seed))


def eased(seed: int) -> float | None:
    """Total over least time of the same job with a steep ramp and an old dish that is where it is stated."""
    tables = tomllib.loads(shop_job(seed))
    tables["cutting"]["ramp_angle"] = STEEP
    if tables["existing"]["form"] != "none":
        tables["existing"] |= {"off_centre": 0, "depth_uncertain": 0}
    recut = resolve(read_job(toml(tables)))
    if recut.stopped:
        return None
    cut = measured(recut)
    return cut.total_s / cut.bound_s


def _extra_blocks(recut: Recut) -> int | None:
    """Blocks of a finishing pass, lead-in and lift included, over the segments of the exact offset.

    Of a contour that leaps over a deeper old dish the part with the most.
    """
    assert recut.plan is not None
    passes = recut.plan.passes
    runs: list[int] = [0]
    for move in to_program(recut.moves, frame_of(recut)):
        if isinstance(move, Rapid) and runs[-1]:
            runs.append(0)
        runs[-1] += isinstance(move, Line | Arc)
    offset = centre_curve(recut.plan.work.cut, recut.insert.radius)
    pairs = zip(passes, [run for run in runs if run], strict=True)
    return max(
        (blocks - _segments(offset, p.cut.path) for p, blocks in pairs if p.kind == "finish"), default=None
    )


def _segments(offset: Chain, path: Chain) -> int:
    """How many lines and arcs of the exact offset a path covers, a wall at its end included."""
    climbs = path.segments[-1].is_wall
    return sum(
        s.r2 > path.inner + JOIN
        and (s.r1 < path.outer - JOIN or (climbs and s.is_wall and s.r1 < path.outer + JOIN))
        for s in offset.segments
    )


def high(values: Sequence[float], share: float) -> float:
    """The value that this share of all stays at or under."""
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def economy(plans: Sequence[Plan], easy: Sequence[float]) -> list[Row]:
    """Time in metal, passes, total time, and what the rest is made of."""
    runs = [run for plan in plans for run in plan.cut.runs if run.length > LONG]
    ratios = [plan.cut.total_s / plan.cut.bound_s for plan in plans]
    over = [  # a finishing contour that leaps over an old dish is one
        plan.passes
        - plan.cut.bound_passes
        - plan.cut.breaks
        - max(0, sum(run.kind == "finish" for run in plan.cut.runs) - 1)
        - any(run.kind == "semi" for run in plan.cut.runs)
        for plan in plans
    ]
    blocks = [plan.extra_blocks for plan in plans if plan.extra_blocks is not None]
    reported = [plan.total_s / plan.reported_bound_s for plan in plans]
    apart = [abs(plan.reported_share - plan.cut.share) for plan in plans]
    kinds = sorted({run.kind for run in runs})
    shares = {kind: [run.share for run in runs if run.kind == kind] for kind in kinds}
    least = sum(plan.cut.bound_s for plan in plans)

    def part(of: Callable[[Measured], float]) -> str:
        return f"{100 * sum(of(plan.cut) for plan in plans) / least:.1f} %"

    def fed(of: str, *only: str) -> Callable[[Measured], float]:
        return lambda cut: sum(getattr(run, of) for run in cut.runs if not only or run.kind in only)

    rest = {
        "rapids": part(lambda cut: cut.rapid_s),
        "lead-ins": part(fed("lead_in_s")),
        "ramps in metal": part(fed("inward_s")),
        "air after the first metal": part(fed("air_s")),
    }
    return [
        _at_least("passes over 10 mm: feed time in metal, median", median(run.share for run in runs), 0.92),
        _at_least("the same, worst pass", min(run.share for run in runs), 0.80),
        Row("such passes under 0.80", f"{sum(run.share < 0.8 for run in runs)} of {len(runs)}"),
        Row("the same by kind, median and worst", _listed({k: _both(v, min) for k, v in shares.items()})),
        _at_most(
            "passes over the bound and one semi-finishing contour (a contour that leaps counts once), most",
            max(over),
            0,
        ),
        Row("jobs over that bound", f"{sum(more > 0 for more in over)} of {len(over)}"),
        _at_most("total time, times the least, median", median(ratios), 1.15),
        _at_most("the same, ninetieth percentile", high(ratios, 0.9), 1.3),
        Row(
            f"both with cutting.ramp_angle {STEEP} and an old dish exactly as stated",
            f"{median(easy):.3f} and {high(easy, 0.9):.3f}",
        ),
        _at_least(
            "a control's plain facing cycle, times ours, old dishes, median",
            median(plan.plain for plan in plans if not plan.blank),
            1.5,
        ),
        _at_least("the same, blanks, median", median(plan.plain for plan in plans if plan.blank), 1.05),
        Row("beside the least time, of it", _listed(rest)),
        Row("that air by kind of pass", _listed({kind: part(fed("air_s", kind)) for kind in kinds})),
        Row("total time, times the report's bound_s", _both(reported, lambda all_: high(all_, 0.9))),
        Row("report's share in metal apart from the grid's, median and most", _both(apart, max)),
        _at_most("blocks of the finishing pass over its segments, most", max(blocks), 3),
        Row("jobs over those blocks", f"{sum(block > 3 for block in blocks)} of {len(blocks)}"),
    ]


def _sample(name: str, plan: Plan | None) -> Row:
    assert plan is not None
    cut = plan.cut
    figure = (
        f"{cut.share:.3f} in metal, {plan.passes} passes for {cut.bound_passes} + {cut.breaks}, "
        f"{cut.total_s:.0f} s for {cut.bound_s:.0f} s"
    )
    return Row(f"sample {name}", figure)


def _both(values: Sequence[float], worst: Callable[[Sequence[float]], float]) -> str:
    return f"{median(values):.3f} and {worst(values):.3f}"


def _listed(figures: dict[str, str]) -> str:
    return ", ".join(f"{name} {figure}" for name, figure in figures.items())


def _at_most(what: str, value: float, goal: float, unit: str = "") -> Row:
    return Row(what, f"{value:.3g}{unit}", f"<= {goal:g}", value <= goal)


def _at_least(what: str, value: float, goal: float, unit: str = "") -> Row:
    return Row(what, f"{value:.3g}{unit}", f">= {goal:g}", value >= goal)


def speed(rounds: int) -> list[Row]:
    """Commands as ratios to the bare import of the libraries."""
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        job = folder("samples") / "pump-engine.toml"
        many, program = _set_of(place), place / "long.nc"
        program.write_text(inside.long_program(BLOCKS)[0])
        env = processes.environment(place / "cache")
        found = processes.alternating(
            {
                "floor": processes.FLOOR,
                "check": processes.command("check", job),
                "bare": processes.command("make", job, "--no-pictures", "--out", place / "bare"),
                "make": processes.command("make", job, "--out", place / "made"),
                "pistons": processes.command("pistons", many),
            },
            env,
            rounds,
        )
        _, memory = processes.spent(processes.command("readback", program, "--job", job), env)
    floor = found["floor"][0]

    def ratio(key: str) -> float:
        return found[key][0] / floor

    return [
        Row("the floor: importing the libraries", f"{floor:.3f} s, {found['floor'][1]:.0f} MB"),
        _at_most("check, times the floor", ratio("check"), 1.6),
        _at_most("make --no-pictures, times the floor", ratio("bare"), 1.8),
        _at_most("make with all pictures, times the floor", ratio("make"), 14),
        _at_most(f"set of {PISTONS} pistons with readings, times the floor", ratio("pistons"), 3),
        Row("memory: check, make with pictures", f"{found['check'][1]:.0f} MB, {found['make'][1]:.0f} MB"),
        Row(f"memory: readback of {BLOCKS} blocks", f"{memory:.0f} MB"),
    ]


def _set_of(place: Path) -> Path:
    """A job of many pistons, each with readings as received and after the first cut."""
    job = place / "many.toml"
    text = (folder("samples") / "pump-engine.toml").read_text()
    job.write_text(text.replace("count = 4 ", f"count = {PISTONS} ", 1))
    from toolpath.readings.log import beside
    from toolpath.readings.logtext import COLUMNS

    lines = [",".join(COLUMNS)]
    for piston in range(1, PISTONS + 1):
        for after, value in (("as-received", 9.3), ("first", 11.1), ("last", 11.6)):
            row = {
                "reading": len(lines),
                "piston": piston,
                "after": after,
                "method": "burette",
                "value": f"{value + piston % 10 / 500:.3f}",
                "unit": "cc",
                "when": "2024-01-01T12:00:00+00:00",
            }
            lines.append(",".join(str(row.get(column, "")) for column in COLUMNS))
    beside(job).write_text("\n".join(lines) + "\n")
    return job


def within(quick: bool) -> list[Row]:
    """Solving and reading inside one process."""
    rounds = 5 if quick else 15
    solved = inside.solving(rounds)
    rows = [
        Row("solving a depth", f"{1000 * solved.ours:.2f} ms, volume within {solved.ours_off:.0e}"),
        *(
            _at_least(
                f"scipy quad and brentq, {how}, times ours (within {error:.0e})", slow / solved.ours, 50
            )
            for how, slow, error in (
                ("over the same section", solved.through_section, solved.through_section_off),
                ("over heights written out by hand", solved.written_out, solved.written_out_off),
                ("written out and told every bend", solved.told_kinks, solved.told_kinks_off),
            )
        ),
    ]
    sizes = (1_000, 10_000) if quick else (1_000, 10_000, BLOCKS)
    each = [_a_block(size) for size in sizes]
    power = 1 + math.log(each[-1] / each[0]) / math.log(sizes[-1] / sizes[0])
    rows += [
        Row(f"readback of {', '.join(map(str, sizes))} blocks", f"{_listed_us(each)} a block"),
        _at_most("the same, grows with the power", power, 1.1),
    ]
    text, setup = inside.long_program(2_000)
    ours = inside.timed(lambda: inside.read_ours(text, setup), rounds)
    rows += [
        Row("reading alone, us a block", f"{1e6 * ours / text.count(chr(10)):.1f}"),
        _at_least(
            "pygcode to words, modes and positions, times ours",
            inside.timed(lambda: inside.read_motions(text), 3) / ours,
            10,
        ),
        _at_least(
            "pygcode to words alone, times ours", inside.timed(lambda: inside.read_words(text), 3) / ours, 10
        ),
    ]
    return rows


def page_rows() -> list[Row]:
    """The page at the machine, in a real browser where there is one; wall clock."""
    seen = screen()
    rows = [_at_most("page for eight pistons", seen.eight / 1000, 400, " kB")]
    if seen.first_view is None or seen.frames is None:
        return [*rows, Row("page: first view, frames a second", "not run: no browser")]
    return [
        *rows,
        _at_most("page: first view, median of five", seen.first_view, 300, " ms"),
        _at_least("page: frames a second while it plays", seen.frames, 50),
    ]


def _listed_us(micros: Sequence[float]) -> str:
    return ", ".join(f"{micro:.0f} us" for micro in micros)


def _a_block(size: int) -> float:
    """Microseconds of the readback of a program of so many blocks, for each of them."""
    text, setup = inside.long_program(size)
    return 1e6 * inside.timed(lambda: inside.read_back(text, setup), 3 if size < BLOCKS else 1) / size


def table(rows: Sequence[Row]) -> str:
    """The rows as a Markdown table."""
    verdict = {None: "", True: "met", False: "missed"}
    lines = ["| what | measured | goal | |", "| --- | --- | --- | --- |"]
    lines += [f"| {row.what} | {row.figure} | {row.goal} | {verdict[row.ok]} |" for row in rows]
    return "\n".join(lines)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Measure the tool and print one table.")
    parser.add_argument("--quick", action="store_true", help="fewer runs and jobs, shorter programs")
    parser.add_argument("--jobs", type=int, help="how many jobs to generate (500, or 60 with --quick)")
    options = parser.parse_args()
    count = options.jobs or (60 if options.quick else 500)
    began = time.monotonic()
    cores = os.cpu_count() or 1
    rows = speed(3 if options.quick else 9) + within(options.quick) + page_rows()
    with ProcessPoolExecutor(min(cores, 8)) as pool:
        tried = list(pool.map(generated, range(count), chunksize=5))
        easy = [ratio for ratio in pool.map(eased, range(count), chunksize=5) if ratio is not None]
        samples = list(pool.map(planned, [(folder("samples") / f"{s}.toml").read_text() for s in SAMPLES]))
    plans = [plan for plan in tried if plan is not None]
    rows = economy(plans, easy) + [_sample(*pair) for pair in zip(SAMPLES, samples, strict=True)] + rows
    met = Counter(row.ok for row in rows)
    sys.stdout.write(
        f"{count} made-up shop jobs (tests/bench/jobs.py), {count - len(plans)} of them refused with a stop, and "
        f"{len(SAMPLES)} samples; rapids at 5000 mm/min, stops not counted.\n"
        f"{platform.python_implementation()} {platform.python_version()}, {platform.system()} on "
        f"{platform.machine()}, {cores} cores; {time.monotonic() - began:.0f} s for this table.\n\n"
        f"{table(rows)}\n\n{met[True]} goals met, {met[False]} missed.\n"
    )


if __name__ == "__main__":
    main()
