"""What stands over and under the rows of a table: short, for a hand at the machine."""

from toolpath.profile.design import Design
from toolpath.program.head import stage_words
from toolpath.recut import Recut
from toolpath.reference import table
from toolpath.table.solved import DroPlan
from toolpath.table.wording import slide_notes
from toolpath.tool.spindle import spindle_sense
from toolpath.tool.touchoff import Shown
from toolpath.units import cc

SAME_CROWN = 1e-4  # mm


def head_lines(recut: Recut, plan: DroPlan, shown: Shown) -> tuple[str, ...]:
    """What must be known before the first row."""
    insert = recut.insert.designation or "round insert"
    at = recut.job.machine
    down = "down" if spindle_sense(recut.job) == "cw" else "up"
    return (
        stage_words(recut),
        f"Insert {insert}, R {shown.z(recut.insert.radius)}, edge on centre height. Readout steps "
        f"{shown.z(plan.readout.resolution)}",
        *(() if plan.slope is None else slide_notes(plan.slope, plan.readout, at.z_reads)),
        *recut.zero_words(shown),
        *_touch_lines(recut, shown),
        f"Spindle: the side of the work near you goes {down} ({at.tool_side} tool, insert face {at.insert_face})",
        *plan.notes,
        ". ".join(table("cautions")["program"]["lines"]),
    )


def _touch_lines(recut: Recut, shown: Shown) -> tuple[str, ...]:
    """Where the insert is touched and what is set then, spindle stopped."""
    touch = recut.touch_off
    point = {
        "insert-centre": "X and Z are the centre of the insert",
        "face-outer": "X is the insert's outer side, Z its front",
        "face-inner": "X is the insert's inner side, Z its front",
    }[touch.control_point]
    check = touch.lines(shown)[-1]
    if recut.zero_stays:
        return (point, check)
    feeler = f" with the {shown.z(touch.feeler)} feeler" if touch.feeler > 0 else ""
    if touch.control_point == "face-inner":
        side = f"inner side on the top land, the front {shown.z(touch.insert_radius)} below the crown"
    else:
        side = (
            "outer side on a blade held along the top land and standing more than "
            f"{shown.z(touch.insert_radius)} out past the crown"
        )
    return (
        f"{point}. Touch off with the spindle stopped:",
        f"Z: on the {touch.crown}{feeler} at X {shown.x(touch.x_over_rim)}, not over a pocket: "
        f"set Z {shown.z(touch.z_to_set)}",
        f"X: {side}, {touch.touch_at} side (oval: mean of both sides): set X {shown.x(touch.x_to_set)}",
        check,
    )


def closing_lines(recut: Recut, plan: DroPlan, floor: float | None, shown: Shown) -> tuple[str, ...]:
    """What the rows leave, what the hand still does, and what the reading is then held against."""
    design = recut.design

    def read(turned: float) -> str:
        return f"{cc(design.seen(turned)):.3f} cc"

    lines = [
        f"As cut by these rows: {read(plan.as_cut)}. As blended: {read(plan.blended)}. "
        f"Target of this cut: {read(design.finished.volume_below())}"
    ]
    lines += _blend(plan, shown)
    deep = f"Depth by these rows {shown.z(plan.depth)} below the finished crown"
    lines.append(deep if floor is None else f"{deep}; floor left {shown.z(floor)}")
    if plan.crown > SAME_CROWN:
        lines.append(
            f"The readout cannot show the finished crown: it stays {shown.z(plan.crown)} high, and a plate "
            f"reads {cc(plan.over_crown):.3f} cc more"
        )
    return (*lines, *_by_file(design, again=recut.later_cut))


def left_to_do(recut: Recut, plan: DroPlan, shown: Shown) -> tuple[str, ...]:
    """What the hand still does after the last row and before the reading."""
    return (*_blend(plan, shown), *_by_file(recut.design, again=recut.later_cut))


def _blend(plan: DroPlan, shown: Shown) -> tuple[str, ...]:
    """The steps that the rows leave, where the readout shows them."""
    if plan.step_left <= plan.readout.resolution:
        return ()
    return (
        f"Blend the steps by hand: {cc(plan.left_to_blend):.3f} cc, {shown.z(plan.step_left)} at the "
        "highest. Take the reading after blending",
    )


def _by_file(design: Design, *, again: bool) -> tuple[str, ...]:
    """The broken edges that no row cuts; after a cut that stands they may be broken already."""
    edges = []
    if design.edge is not None:
        edges.append("outer edge of the crown")
    if design.old_lip is not None or design.lip_by_file is not None:
        edges.append("lip of the dish")
    if not edges:
        return ()
    names = " and ".join(edges)
    where = "where it is not broken yet, " if again else ""
    return (f"No row breaks the {names}: {where}do it with a file after the last row, before the reading",)
