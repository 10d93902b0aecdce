"""A tired person with two jobs in one folder: commands, slips and cuts, beside pistons that are truly cut.

The true pistons share nothing with the code under test but the facts of the cuts: each finishing path leaves a
floor, an arc and a wall in closed form, the old dish is a true cap, and the rings are summed on a fine grid.
"""

import random
import re
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
from click.testing import Result

from tests.sample_jobs import job_file, run
from tests.shop.test_shop_through_commands import GRID, LIMIT, LINES, TIGHT, Case, turned
from toolpath.cli.options import Which
from toolpath.cli.work import Opened, opened
from toolpath.errors import InputError, StopError
from toolpath.output import files
from toolpath.readings import log as logs
from toolpath.readings.facts import CutFacts
from toolpath.readings.log import Entry, Log, MadeCut, Reading, beside
from toolpath.recut import Recut
from toolpath.report.made import report_of

PISTONS = 2
OLD_MOUTH, OLD = 32.0, 9300.0  # mm, mm3
X_TOUCH, REFIT, REPEAT, TOUCH = 0.05, 0.005, 0.003, 0.005  # mm
# said by make where readings cannot hold the tolerance, or where another program may have been cut
EXCUSES = r"out of reach|short cut, read|one cut without a reading keeps|if it was cut, do not cut this one"
EDITS = {
    "dish.volume_cc": ("11.6", "11.6", "11.9", "11.4", "12.4"),
    "dish.mouth_diameter": ("68.0", "68.0", "66.0", "60.0", "70.0"),
    "dish.form": ('"flat"', '"flat"', '"spherical"'),
    "dish.tolerance_cc": ("0.1", "0.12"),
    "crown.skim": ("0.5", "0.5", "0.8", "0.3"),
    "existing.volume_cc": ("9.3", "9.3", "9.6", "8.9"),
    "tool.insert": ('"RCGT 10T3 M0"', '"RCGT 10T3 M0"', '"RCGT 0803 M0"'),
    "tool.control_point": ('"face-outer"', '"face-outer"', '"face-inner"'),
    "setup.zero": ('"kept"', '"noted"', '"fresh"'),
    "cutting.feed": ("0.10", "0.08"),
}


class OverInSilenceError(AssertionError):
    """A piston over its tolerance, of which nothing was said."""


@dataclass
class Metal:
    """A piston as it really is; mm, mm3. `told` once a warning named what may be wrong with it."""

    volume: float  # as received
    touch: float  # of the skim
    z: float = 0.0  # error of the zero
    skim: float | None = None
    cuts: list[np.ndarray] = field(default_factory=list)
    told: bool = False
    ready: tuple[CutFacts, float, str] | None = (
        None  # facts, tolerance and file of the program on the machine
    )
    mark: str = ""  # of the cut made last

    def dish(self) -> float:
        """The volume that a perfect burette would show."""
        skim = 0.0 if self.skim is None else self.skim + self.touch
        return turned(Case("", "flat", 1, 1, OLD_MOUTH).old_depths(GRID, self.volume, skim), *self.cuts)


class Walk:
    """One walk; `say` holds what was typed and answered."""

    def __init__(self, place: Path, seed: int) -> None:
        self.rng = random.Random(seed)
        self.say: list[str] = []
        self.jobs = [place / "pump.toml", place / "spare.toml"]
        self.state = {job: {key: values[0] for key, values in EDITS.items()} for job in self.jobs}
        self.mirror: dict[Path, list[Entry]] = {job: [] for job in self.jobs}
        self.x, self.insert = self._normal(X_TOUCH), self.rng.uniform(-TIGHT, TIGHT)
        self.calibration = self.rng.uniform(-LIMIT, LIMIT)
        zero = self.rng.choice(EDITS["setup.zero"])
        self.metal: dict[tuple[Path, int], Metal] = {}
        self.counts = dict.fromkeys(("commands", "cuts", "slips", "refused", "told", "silent", "over"), 0)
        self.deletes = self.rng.choice(("programs", "log"))
        for job in self.jobs:
            self.state[job]["setup.zero"] = zero
            self.write(job)
            for n in range(1, PISTONS + 1):
                self.metal[job, n] = Metal(OLD + self._normal(100.0), self._normal(TOUCH))

    def _normal(self, u: float) -> float:
        """Drawn within two standard uncertainties: what is beyond them is chance and no slip."""
        return max(-2.0, min(2.0, self.rng.gauss(0, 1))) * u

    def write(self, job: Path) -> None:
        text = job_file("pump-engine").read_text(encoding="utf-8")
        given = {**self.state[job], "piston.count": str(PISTONS), "setup.touch_off": str(TOUCH)}
        if given["dish.form"] == '"spherical"':
            text = re.sub(r"(?m)^(corner_radius|wall_angle) = .*\n", "", text)
        for dotted, literal in given.items():
            table, key = dotted.split(".")
            head, body = text.split(f"\n[{table}]", 1)
            body, *rest = re.split(r"(?m)^(?=\[)", body, maxsplit=1)
            body = re.sub(rf"(?m)^{key} = .*\n", "", body) + f"{key} = {literal}\n"
            text = f"{head}\n[{table}]" + "".join([body, *rest])
        job.write_text(text, encoding="utf-8")

    def call(self, command: str, job: Path, *more: str) -> Result:
        done = run(command, job, *more)
        told = " ".join(done.output.split())[-400:]
        self.say.append(f"{command} {job.name} {' '.join(more)} -> {done.exit_code}: {told}")
        assert done.exit_code in (0, 1, 2), self.say[-1]
        assert done.exception is None or isinstance(done.exception, SystemExit), repr(done.exception)
        self.counts["commands"] += 1
        return done

    # ---- steps -----------------------------------------------------------------------------------

    def step(self) -> None:
        job = self.rng.choices(self.jobs, (6, 1))[0]
        n = self.rng.randint(1, PISTONS)
        kinds = ("due", "stage", "cut", "read", "slip", "undo", "edit", "delete", "look", "common")
        kind = self.rng.choices(kinds, (30, 5, 10, 30, 14, 5, 5, 3, 2, 1))[0]
        if kind == "due":
            self.make(job, n)
        elif kind == "stage":
            self.make(job, n, "--stage", self.rng.choice(("first", "last", "whole")))
        elif kind == "cut":
            self.cut(job, n)
        elif kind == "read":
            self.read(job, n)
        elif kind == "slip":
            self.slip(job, n)
        elif kind == "undo":
            self.undo(job, n)
        elif kind == "edit":
            key = self.rng.choice(list(EDITS))
            self.state[job][key] = self.rng.choice(EDITS[key])
            self.say.append(f"edit {job.name}: {key} = {self.state[job][key]}")
            self.write(job)
        elif kind == "delete":
            self.delete(job, n)
        elif kind == "look":
            self.call("pistons", job)
        else:
            self.call("pistons", job, "--take-common")

    def make(self, job: Path, n: int, *more: str) -> None:
        done = self.call("make", job, "--no-pictures", "--piston", str(n), *more)
        metal = self.metal[job, n]
        if done.exit_code:
            if metal.ready is not None and f"{metal.ready[2]}: is from before" in done.output:
                metal.ready = None
            return
        made = next(e for e in reversed(self.mirror[job]) if isinstance(e, MadeCut) and e.piston == n)
        if re.search(EXCUSES, done.output):
            metal.told = True
        metal.ready = made.facts, 1000 * float(self.state[job]["dish.tolerance_cc"]), made.file
        if self.rng.random() < 0.75:
            self.cut(job, n)

    def cut(self, job: Path, n: int) -> None:
        """Cut the program that is on the machine, with the errors of its zero."""
        metal = self.metal[job, n]
        if metal.ready is None:
            return
        facts, tolerance, file = metal.ready
        metal.ready = None
        if facts.zero == "fresh":
            metal.z = self._normal(TOUCH)
        elif facts.zero in ("kept", "noted"):
            metal.z += self._normal(REFIT)
        if metal.skim is None:
            metal.skim = facts.skim
        shape = facts.shape
        case = Case("", shape.form, shape.mouth or 0.0, 1.0, corner=shape.corner, control=facts.control_point)
        before = metal.dish()
        z = metal.z + self._normal(REPEAT)
        metal.cuts.append(case.depths(GRID, shape.depth or 0.0, z, self.x, self.insert))
        metal.mark = facts.mark
        now = metal.dish()
        self.counts["cuts"] += 1
        self.say.append(
            f"cut {file}: {before / 1000:.3f} -> {now / 1000:.3f} cc, for {facts.target / 1000:g}"
        )
        if now > facts.target + tolerance and now > before + 1.0:
            self.counts["over"] += 1
            if not metal.told:
                raise OverInSilenceError(f"{job.name} piston {n} over\n" + "\n".join(self.say))

    def burette(self, job: Path, n: int) -> float:
        """What the burette shows, cc."""
        return LINES * round((self.metal[job, n].dish() + self.calibration) / LINES) / 1000

    def read(self, job: Path, n: int) -> None:
        self.store(job, n, f"{n}={self.burette(job, n):.2f}")

    def store(self, job: Path, n: int, *words: str) -> Result:
        done = self.call("reading", job, *words)
        if done.exit_code == 2 and "with different marks" in done.output and self.metal[job, n].mark:
            done = self.call("reading", job, *words, "--mark", self.metal[job, n].mark)
        if re.search(rf"piston {n}: warning", done.output):
            self.metal[job, n].told = True
            self.counts["told"] += 1
        return done

    def slip(self, job: Path, n: int) -> None:
        """Something else is typed than was read."""
        true = self.burette(job, n)
        text = f"{true:.2f}"
        kind = self.rng.choice(("digit", "swapped", "neighbour", "job", "depth", "instrument", "after"))
        words: tuple[str, ...]
        typed, who, where = true, n, job
        digits = [k for k, c in enumerate(text) if c.isdigit()]
        if kind == "digit":
            k = self.rng.choice(digits)
            typed = float(text[:k] + self.rng.choice("0123456789") + text[k + 1 :])
            words = (f"{n}={typed}",)
        elif kind == "swapped":
            k = self.rng.choice(range(len(digits) - 1))
            a, b = digits[k], digits[k + 1]
            letters = list(text)
            letters[a], letters[b] = letters[b], letters[a]
            typed = float("".join(letters))
            words = (f"{n}={typed}",)
        elif kind == "neighbour":
            who = n % PISTONS + 1
            words = (f"{who}={true}",)
        elif kind == "job":
            where = next(j for j in self.jobs if j != job)
            words = (f"{n}={true}",)
        elif kind == "depth":
            deep = float(max((c.max() for c in self.metal[job, n].cuts), default=3.0))
            typed = deep + self.rng.choice((-1.0, 1.0, 0.3, -0.3, 0.1, -0.1))
            words = ("--depth", f"{n}={typed:.2f}")
        elif kind == "instrument":
            words = (self.rng.choice(("--depth", "--mouth", "--height", "--mass")), f"{n}={true}")
        else:
            words = (f"{n}={true}", "--after", self.rng.choice(("as-received", "first", "last")))
        self.counts["slips"] += 1
        hint = self.expected(where, who, words)
        done = self.store(where, who, *words)
        if done.exit_code:
            self.counts["refused"] += 1
        elif "warning" not in done.output and kind != "after":
            self.silent(where, who, words, hint)

    def silent(self, job: Path, n: int, words: tuple[str, ...], hint: tuple[float, float] | None) -> None:
        """A slip that nobody could tell from a reading: it lies within what was expected, or repeats one."""
        really = self.burette(job, n)
        typed = float(words[-1].split("=")[1])
        method = words[0][2:] if words[0].startswith("--") else "burette"
        if (method == "burette" and abs(typed - really) <= LINES / 1000) or method in ("height", "mass"):
            return
        self.counts["silent"] += 1
        self.metal[job, n].told = True
        of = [e for e in self.mirror[job] if isinstance(e, Reading) and e.piston == n and e.method == method]
        near = {"burette": 0.2}.get(method, 0.04)
        repeats = any(abs(e.shown - typed) <= near + 1e-9 for e in of[:-1])
        if not repeats and hint is not None and abs(typed - hint[0]) > hint[1] + 0.02:
            raise OverInSilenceError(
                f"{job.name} {words}: stored without a word, {hint} was expected\n" + "\n".join(self.say)
            )

    def expected(self, job: Path, n: int, words: tuple[str, ...]) -> tuple[float, float] | None:
        """Value and half width (k = 2) of what is said to be expected."""
        from toolpath.matching.judge import default_after

        try:
            work = self.work(job)
            method = words[0][2:] if words[0].startswith("--") else "burette"
            hint = work.expected(n, method, default_after(work.history(n)))  # type: ignore[arg-type]
        except (InputError, StopError):
            return None
        found = re.findall(r"[-\d.e]+", hint or "")
        return (float(found[0]), float(found[-1])) if len(found) > 1 else None

    def undo(self, job: Path, n: int) -> None:
        done = self.call("reading", job, "--piston", str(n), "--undo")
        ready = self.metal[job, n].ready
        if ready is not None and ready[2] in done.output:
            self.metal[job, n].ready = None

    def delete(self, job: Path, n: int) -> None:
        folder = job.parent / job.stem
        what = self.deletes  # with both gone nothing is left that could tell of a cut
        self.say.append(f"delete the {what} of {job.name}")
        if what == "log":
            beside(job).unlink(missing_ok=True)
            self.mirror[job].clear()
            return
        for path in folder.glob("*") if folder.exists() else ():
            path.unlink()
        for k in range(1, PISTONS + 1):
            self.metal[job, k].ready = None

    # ---- the log ---------------------------------------------------------------------------------

    def work(self, job: Path) -> Opened:
        return opened(job, Which(None, None, None, None))

    def same_state(self, job: Path) -> None:
        """What was stored, entry by entry, is what a fresh load finds."""
        place = beside(job)
        found = logs.load(place) if place.exists() else Log()
        assert [plain(e) for e in found.entries] == [plain(e) for e in self.mirror[job]], "\n".join(self.say)


def plain(entry: Entry) -> tuple[object, ...]:
    """An entry without the line it stands on, its numbers as the file keeps them."""
    if isinstance(entry, MadeCut):
        return (
            entry.number,
            entry.piston,
            entry.facts.text(),
            entry.facts.mark,
            entry.file,
            entry.sha,
            entry.when,
        )
    value = f"{entry.shown:.9g}"
    if isinstance(entry, Reading):
        depth = None if entry.cut_depth is None else round(entry.cut_depth, 6)
        return entry.number, entry.piston, entry.after, entry.method, value, depth, entry.mark, entry.when
    return entry.number, entry.piston, value, entry.unit, entry.note, entry.when


def watched(walk: Walk, patch: pytest.MonkeyPatch, *, real_files: bool) -> None:
    """Keep the mirror of what the commands store; in place of the files one of facts where they are not wanted."""
    all_, made_, gone_ = logs.append_all, logs.append_made, logs.withdraw

    def job(path: Path) -> Path:
        return next(j for j in walk.jobs if beside(j) == path)

    def append_all(path: Path, readings: object) -> object:
        stored = all_(path, readings)  # type: ignore[type-var,arg-type]
        walk.mirror[job(path)] += stored
        return stored

    def append_made(path: Path, made: MadeCut, seen: int) -> MadeCut:
        stored = made_(path, made, seen)
        if stored.number > seen:
            walk.mirror[job(path)].append(stored)
        return stored

    def withdraw(path: Path, entry: Entry, note: str = "") -> None:
        gone_(path, entry, note)
        mirror = walk.mirror[job(path)]
        mirror[:] = [e for e in mirror if e.number != entry.number]

    def facts_alone(recut: Recut, name: str, **_: object) -> files.Done:
        told = tuple(files.told(f, recut.job.units) for f in recut.findings if f.severity == "warning")
        program = {f"{name}.nc": recut.facts.text().encode()}
        return files.Done(name, f"{name}.nc", recut.facts, program, ("made", *told), report_of(recut, None))

    patch.setattr(logs, "append_all", append_all)
    patch.setattr(logs, "append_made", append_made)
    patch.setattr(logs, "withdraw", withdraw)
    patch.setattr(files, "append_made", append_made)
    patch.setattr(files, "withdraw", withdraw)
    if not real_files:
        patch.setattr(files, "files_of", facts_alone)
