"""What the page says in words and figures, every number with its unit."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from toolpath.program.by_hand import readout_of, shown_on
from toolpath.program.frames import HAND, frame_of, shown
from toolpath.readback.motions import centre_offset
from toolpath.recut import Recut
from toolpath.reference import table
from toolpath.tool.spindle import spindle_words
from toolpath.tool.touchoff import Shown
from toolpath.units import METRES_PER_FOOT, cc

CUTS = {"whole": "One cut", "first": "First cut", "last": "Last cut"}

Lines = Iterator[tuple[str, str]]


def shown_of(recut: Recut) -> Shown:
    """How X, Z and lengths are written: as the program, or the hand's readout, states them."""
    if recut.job.machine.post != HAND:
        return shown(frame_of(recut))
    return shown_on(readout_of(recut))


def unit(show: Shown) -> str:
    """The unit as it stands by a figure, where a lone "in" could be read as the word."""
    return "inch" if show.unit == "in" else show.unit


def headings(recut: Recut) -> tuple[str, str]:
    """Which piston, and which cut."""
    count = recut.job.piston.count
    if recut.piston is None:
        which = "The piston" if count == 1 else f"Each of {count} pistons"
    else:
        which = f"Piston {recut.piston} of {count}"
    return which, CUTS[recut.stage]


def touch(recut: Recut, show: Shown) -> dict[str, Any]:
    """What to touch off and the two numbers to set; `kept` where nothing is to be touched."""
    off = recut.touch_off
    factor = show.factor * (2 if show.diameter else 1)
    return {
        "kept": recut.later_cut and recut.job.zero == "kept",
        "z": f"{off.z_to_set * show.factor:.{show.decimals}f}",
        "x": f"{off.x_to_set * factor:.{show.decimals}f}",
        "crown": off.crown,
        "unit": unit(show),
        "x_unit": f"{unit(show)} {'diameter' if show.diameter else 'radius'}",
        "lines": [*recut.touch_lines(show), *_proof(recut, show)],
    }


def _proof(recut: Recut, show: Shown) -> Iterator[str]:
    """What the program's first stop before the crown must show; nothing where rows are cut by hand."""
    proof = recut.running.proof
    if proof is None or recut.job.machine.post == HAND:
        return
    gauge = proof.z - recut.insert.radius
    faced = recut.plan.work.skim <= 0
    gap = "" if faced else f", {show.z(gauge - recut.plan.work.skim)} before the crown as it stands now"
    aside, along = centre_offset(recut.job.tool.control_point, recut.insert.radius)
    yield (
        f"The program stops before it cuts, at X {show.x(proof.x - aside)}, Z {show.z(proof.z - along)}: the insert "
        f"must stand {show.z(gauge)} before the finished crown{gap}, its outer side level with the crown's edge; if "
        "it does not, do not go on"
    )


def tool(recut: Recut, report: Mapping[str, Any], show: Shown, nearest: float | None) -> Lines:
    """Insert, holder, speeds, feeds and how near they come; `nearest` (mm) is the least gap of what is played."""
    if recut.job.machine.post != HAND:
        yield "mark", f"{recut.mark}; the head of the program must say the same"
    job, run, insert = recut.job, recut.running, recut.insert
    clearance, plan = report["clearance"], report["plan"]
    yield "insert", f"{insert.designation or 'round'}, R {show.z(insert.radius)}"
    yield "programmed point", job.tool.control_point.replace("-", " ")
    yield "holder", "not stated" if job.holder is None else job.holder.name or "as stated in the job"
    gaps = [gap for gap in (clearance["holder_gap_mm"], nearest) if gap is not None]
    if gaps:
        least = math.floor(min(gaps) * show.factor * 10**show.decimals) / 10**show.decimals
        below = None if job.holder is None else job.holder.height_below_edge
        where = "at edge height only" if below is None else f"down to {show.z(below)} below the edge"
        sits = " wherever the old dish sits" if job.existing.is_dish else ""
        yield "holder clearance", f"{least:.{show.decimals}f} {show.unit} at the least{sits}, {where}"
        if sits and nearest is not None:
            yield "as drawn in Cut", show.z(nearest)
    else:
        yield "holder clearance", "not known: state [holder]"
    if clearance["insert_underside_room_mm"] is not None:
        yield "insert's underside", f"{show.z(clearance['insert_underside_room_mm'])} of room"
    if clearance["flank_contact_height_mm"] is not None:
        yield "heel would rub", f"{show.z(clearance['flank_contact_height_mm'])} below the edge"
    if run.surface_speed is not None:
        feet = show.unit == "in"
        speed = run.surface_speed / (METRES_PER_FOOT if feet else 1)
        yield "surface speed", f"{speed:.0f} {'ft' if feet else 'm'}/min"
        yield "never over", f"{run.rpm_limit:.0f} rev/min"
    yield "start speed", f"{run.start_rpm:.0f} rev/min"
    yield "feed", f"{show.z(run.feed)}/rev"
    yield "coolant", "on" if run.coolant else "off"
    yield "time", f"{plan['total_s'] / 60:.1f} min in {plan['passes']} passes"


def speed(recut: Recut, show: Shown) -> str:
    """Spindle speed and feed of the rows, which a hand sets once."""
    return f"{recut.running.start_rpm:.0f} rev/min, feed {show.z(recut.running.feed)}/rev"


def dish(recut: Recut, report: Mapping[str, Any], show: Shown) -> Lines:
    """What the cut leaves."""
    section, volume, ratio = report["section"], report["volume"], report["compression"]
    design, job = recut.design, recut.job
    yield "material", job.piston.material
    if not recut.later_cut:
        yield "skim", show.z(design.skim) if design.skim > 0 else "none"
    yield "dish", f"{section['form']}, {show.z(section['depth_mm'])} deep"
    yield "mouth", f"{show.z(section['mouth_diameter_mm'])} diameter"
    if section["floor_thickness_mm"] is not None:
        yield "floor left", show.z(section["floor_thickness_mm"])
    yield "as received", f"{volume['as_received_cc']:.3f} cc"
    yield "after the skim", f"{volume['after_skim_cc']:.3f} cc"
    yield "target", f"{volume['target_cc']:.3f} cc, within {cc(job.dish.tolerance):.3f} cc"
    if ratio["after"] is not None:
        yield "compression", f"{ratio['before']:.2f} to 1, then {ratio['after']:.2f} to 1"


def reading(recut: Recut, report: Mapping[str, Any], *, job_file: str, by_hand: bool) -> dict[str, str]:
    """What to read after the cut, what to expect and what that leaves, and the command to type."""
    job, expected = recut.job, report["expected"]
    volume = report["volume"]["finished_cc"]
    if by_hand:
        volume = report["table"]["expected_cc"]
    spread = cc(job.dish.tolerance)
    words = f"within {spread:.3f} cc"
    if expected is not None:
        volume = expected["volume_cc"]
        words = f"within {2 * expected['u_cc']:.3f} cc, 19 times in 20"  # k = 2; JCGM 100:2008, 6.3.3
    place = "down the bore" if job.burette is not None and job.burette.method != "plate-on-crown" else ""
    piston = recut.piston or (1 if job.piston.count == 1 else None)
    named = f"CC is what the burette shows, such as {volume:.2f}" + (
        "" if piston else ", N the piston's number"
    )
    left = report["volume"]["target_cc"] - volume
    return {
        "what": f"burette, {place or 'plate across the finished crown'}",
        "cc": f"{volume:.3f}",
        "within": words,
        "left": _left(recut, left),
        "then": "Type it: the last cut is made from it"
        if recut.stage == "first"
        else "Within: this piston is done",
        "type": f"dishpath reading {job_file} {piston or 'N'}=CC",
        "where": named,
    }


def _left(recut: Recut, left: float) -> str:
    if recut.stage == "first":
        return f"{left:.3f} cc are left on purpose, for the last cut"
    if left > cc(recut.job.dish.tolerance) / 100:
        return f"{left:.3f} cc less than the target: what the readout's steps leave; no later cut is meant"
    return "Nothing is left for a later cut"


def watch(recut: Recut, show: Shown) -> Lines:
    """What the checks say of this job, spindle sense, notes, then the cautions that stand on every job."""
    for found in recut.findings:
        if found.severity != "note":
            yield found.severity, found.line(show.units).split(": ", 1)[1]
    yield "spindle", f"{spindle_words(recut.job)}. The edge stands on centre height."
    for found in recut.findings:
        if found.severity == "note":
            yield "note", found.line(show.units).split(": ", 1)[1]
    for line in table("cautions")["sheet"]["lines"]:
        yield "caution", line


def below_edge(recut: Recut, show: Shown) -> dict[str, Any] | None:
    """The flank, the curve of the work and the grinding line, seen along the spindle; None without a dish.

    The curve is that of the wall or bowl which a flank of this relief meets at the height found.
    """
    flank = recut.clearance.flank
    lean = recut.insert.relief + recut.job.tool.seat_tilt
    if flank is None or flank.contact_height <= 0 or lean <= 0:
        return None
    wall = flank.contact_height / math.sin(2 * lean)
    thick = recut.insert.thickness
    down = min(1.25 * flank.contact_height, flank.template[-1][0])
    low = min(max(down, 1.6 * (thick or 0.0)), 0.98 * wall)
    holder = recut.job.holder
    room = flank.underside_room
    back = None if holder is None or holder.set_back is None else holder.set_back
    lines = [f"relief {math.degrees(lean):g} degrees"]
    lines.append(f"the heel would rub {show.z(flank.contact_height)} below the edge")
    if room is not None:
        lines.append(f"room at the insert's underside {show.z(room)}")
    lines.append("heavy dashes: grind the holder back to here, or further")
    return {
        "lean": math.tan(lean),
        "wall": round(wall, 4),
        "contact": round(flank.contact_height, 4),
        "thick": thick,
        "low": round(low, 4),
        "template": [[round(h, 4), round(b, 4)] for h, b in flank.template if h < low + 1],
        "height": None if holder is None else holder.height_below_edge,
        "back": back,
        "lines": lines,
    }
