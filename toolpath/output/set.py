"""The set in the contract's keys, and as a table for the terminal."""

from typing import Any

from toolpath.matching.judge import CC
from toolpath.matching.sets import Summary

SCHEMA = "dishpath-set-1"


def set_keys(found: Summary, target: float) -> dict[str, Any]:
    """The set under the contract's keys, in cc and g."""
    return {
        "schema": SCHEMA,
        "target_cc": target / CC,
        "spread_cc": _cc(found.spread),
        "spread_g": found.spread_grams,
        "common_target_cc": _cc(found.common_target),
        "pistons": [
            {
                "piston": row.measured.piston,
                "as_received_cc": _cc(row.measured.as_received),
                "after_first_cc": _cc(row.measured.after_first),
                "final_cc": _cc(row.measured.final),
                "off_cc": _cc(row.off),
                "removed_g": row.measured.removed,
                "compression": row.measured.ratio,
                "next": row.next,
            }
            for row in found.rows
        ],
    }


def _cc(volume: float | None) -> float | None:
    return None if volume is None else volume / CC


def set_text(keys: dict[str, Any]) -> str:
    """The set as a table of at most 100 columns."""
    lines = [
        f"Target {keys['target_cc']:.3f} cc",
        f"{'piston':>6} {'received':>9} {'first':>8} {'last':>8} {'off':>7} {'removed':>8} {'ratio':>6}  next",
        f"{'':>6} {'cc':>9} {'cc':>8} {'cc':>8} {'cc':>7} {'g':>8} {'to 1':>6}",
    ]
    for p in keys["pistons"]:
        figures = (
            _shown(p["as_received_cc"], 9, 2),
            _shown(p["after_first_cc"], 8, 2),
            _shown(p["final_cc"], 8, 2),
            _shown(p["off_cc"], 7, 2),
            _shown(p["removed_g"], 8, 2),
            _shown(p["compression"], 6, 2),
        )
        lines.append(f"{p['piston']:>6} {' '.join(figures)}  {p['next']}")
    if keys["spread_cc"] is not None:
        grams = "" if keys["spread_g"] is None else f", {keys['spread_g']:.2f} g of metal removed"
        lines.append(f"Spread of the set {keys['spread_cc']:.2f} cc{grams}")
    if keys["common_target_cc"] is not None:
        lines.append(f"The whole set can still meet {keys['common_target_cc']:.2f} cc")
    return "\n".join(lines)


def _shown(value: float | None, width: int, decimals: int) -> str:
    return f"{'-':>{width}}" if value is None else f"{value:>{width}.{decimals}f}"
