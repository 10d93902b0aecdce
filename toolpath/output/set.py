"""The set in the contract's keys, and as a table for the terminal: the screen of the job."""

from collections.abc import Iterator
from typing import Any

from toolpath.job.model import Job
from toolpath.matching.sets import PistonRow, Summary
from toolpath.units import cc

SCHEMA = "dishpath-set-1"


def set_keys(found: Summary, target: float) -> dict[str, Any]:
    """The set under the contract's keys, in cc and g; `target` (mm3) is the job's."""
    return {
        "schema": SCHEMA,
        "target_cc": cc(target),
        "common_target_cc": _cc(found.common_target),
        "common_ratio": None if found.one_target else found.common_ratio,
        "spread_cc": _cc(found.spread),
        "spread_ratio": found.spread_ratio,
        "spread_g": found.spread_grams,
        "pistons": [
            {
                "piston": row.measured.piston,
                "target_cc": cc(row.measured.target),
                "as_received_cc": _cc(row.measured.as_received),
                "after_first_cc": _cc(row.measured.after_first),
                "final_cc": _cc(row.measured.final),
                "off_cc": _cc(row.off),
                "removed_g": row.measured.removed,
                "weighed_g": row.measured.weighed,
                "mass_g": row.measured.mass,
                "compression": row.measured.ratio,
                "next": row.next,
            }
            for row in found.rows
        ],
    }


def _cc(volume: float | None) -> float | None:
    return None if volume is None else cc(volume)


COLUMNS = (  # key of a piston, heading, unit, width, decimals
    ("target_cc", "target", "cc", 7, 2),
    ("as_received_cc", "received", "cc", 8, 2),
    ("after_first_cc", "first", "cc", 6, 2),
    ("final_cc", "last", "cc", 6, 2),
    ("off_cc", "off", "cc", 6, 2),
    ("removed_g", "removed", "g", 7, 2),
    ("weighed_g", "weighed", "g", 7, 2),
    ("compression", "ratio", "to 1", 6, 2),
)


def set_text(found: Summary, job: Job, keys: dict[str, Any], name: str, told: str | None) -> str:
    """One line a piston with what is due, the spreads, what to look at, and the command to type next."""
    shown = [c for c in COLUMNS if any(p[c[0]] is not None for p in keys["pistons"])]
    heads = " ".join(f"{head:>{width}}" for _, head, _, width, _ in shown)
    units = " ".join(f"{unit:>{width}}" for _, _, unit, width, _ in shown)
    lines = [f"Tolerance +-{cc(job.dish.tolerance):g} cc", f"piston {heads}  next", f"       {units}"]
    for p in keys["pistons"]:
        figures = " ".join(_shown(p[key], width, decimals) for key, _, _, width, decimals in shown)
        lines.append(f"{p['piston']:>6} {figures}  {p['next']}")
    lines += _spreads(keys)
    lines += _masses(found)
    if told is not None:
        lines.append(f"warning: {told}")
    lines += [f"warning: piston {n}: too far over to be a cut; look at this reading" for n in found.look_at]
    if keys["common_target_cc"] is not None:
        lines.append(f"The whole set can still meet {keys['common_target_cc']:.2f} cc")
    elif keys["common_ratio"] is not None:
        lines.append(f"The whole set can still meet {keys['common_ratio']:.3f} to 1")
    lines += [f"next: {line}" for line in next_commands(found, name)]
    return "\n".join(lines)


def _spreads(keys: dict[str, Any]) -> Iterator[str]:
    if keys["spread_cc"] is None:
        return
    parts = [f"{keys['spread_cc']:.2f} cc"]
    if keys["spread_ratio"] is not None:
        parts.append(f"{keys['spread_ratio']:.3f} in ratio")
    if keys["spread_g"] is not None:
        parts.append(f"{keys['spread_g']:.2f} g")
    yield f"Spread of the set {', '.join(parts)}"


def _masses(found: Summary) -> Iterator[str]:
    """Grams to take off to match the lightest; where is the builder's."""
    if found.lightest is None:
        return
    heavier = [
        f"piston {row.measured.piston}: {row.measured.mass - found.lightest:.1f} g"
        for row in found.rows
        if row.measured.mass is not None and row.measured.mass > found.lightest + 0.05
    ]
    if heavier:
        off = ", ".join(heavier)
        yield f"To match the lightest ({found.lightest:.1f} g) take off: {off}; the builder knows where"


def next_commands(found: Summary, name: str) -> list[str]:
    """What to type next, ready to copy: readings first, then cuts, then a common target, then the record."""
    rows = found.rows
    readings = [row for row in rows if row.due.what == "reading"]
    cuts = [row for row in rows if row.due.what in ("first", "last")]
    out: list[str] = []
    if readings:
        out.append(f"dishpath reading {name} " + " ".join(f"{row.measured.piston}=CC" for row in readings))
    elif cuts:
        out.append(f"dishpath make {name} --piston {_list(cuts, len(rows))}")
    if any(row.due.what == "over" for row in rows) and found.common is not None:
        out.append(f"dishpath pistons {name} --take-common")
    if all(row.due.what == "done" for row in rows):
        out.append(f"dishpath pistons {name} --record {name.rsplit('.', 1)[0]}-record.pdf")
    return out


def _list(rows: list[PistonRow], count: int) -> str:
    """Pistons as `--piston` takes them: all, 3, or 1-4,6."""
    if len(rows) == count and count > 1:
        return "all"
    runs: list[list[int]] = []
    for number in (row.measured.piston for row in rows):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ",".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)


def _shown(value: float | None, width: int, decimals: int) -> str:
    return f"{'-':>{width}}" if value is None else f"{value:>{width}.{decimals}f}"
