"""Programs in `rs274ngc` and `rs274-lathe` on an open machine control's own interpreter.

The control calls the tool and takes its offset, and its canonical moves cut the same section.
"""

import math
import sys
from dataclasses import replace
from itertools import count
from pathlib import Path

import numpy as np
import pytest

from tests import open_control
from tests.jobs.generator import job_text
from tests.jobs.judged import read
from tests.jobs.second_cutter import opinion, shift_of
from tests.sample_jobs import SAMPLES, job_file
from toolpath.api import load_job
from toolpath.program.frames import frame_of
from toolpath.program.proof import setup_of
from toolpath.program.text import Made, made
from toolpath.readback.reader import read as read_program
from toolpath.readback.verdict import readback
from toolpath.recut import Recut, Refused, resolve

POSTS = ("rs274ngc", "rs274-lathe")
WANTED = 200
LENGTH, VOLUME = 0.003, 5.0  # mm, mm3
PRINTED = 0.5e-4  # program units: the interpreter prints four decimals
SPEED = 0.02  # of a feed: the interpreter prints four decimals of it too


@pytest.fixture(autouse=True, scope="module")
def _control() -> None:
    open_control.require()


def in_post(recut: Recut, post: str) -> Recut:
    """The same recut for another control, whose own words and reading of X hold."""
    own = {"post": post, "tool_word": None, "x_reading": None, "decimals": None}
    machine = recut.job.machine.model_copy(update=own)
    return replace(recut, job=recut.job.model_copy(update={"machine": machine}))


def differences(recut: Recut, program: Made, place: Path) -> list[str]:
    """What the control does otherwise than our readback says, a sentence each."""
    ran = open_control.run(program.text, place)
    if ran.refused:
        return [f"refused: {ran.refused}"]
    setup = setup_of(recut, frame_of(recut))
    shift = shift_of(setup.control_point, setup.insert_radius)
    theirs = list(open_control.motions(ran, unit=setup.unit, shift=shift))
    ours = read_program(
        program.text,
        dialect=recut.job.machine.post,
        units=setup.units,
        x_reading=setup.x_reading,
        control_point=setup.control_point,
        insert_radius=setup.insert_radius,
    ).motions
    told = []
    moved = [call for call, _ in ran.calls].index("STRAIGHT_TRAVERSE")
    before = [call for call, _ in ran.calls[:moved]]
    if "CHANGE_TOOL" not in before or ran.named("SELECT_TOOL")[0] != "1":
        told.append("moves before the tool is called")
    if before.count("USE_TOOL_LENGTH_OFFSET") != 1 or not _offset_taken(ran, setup.unit):
        told.append("moves before the tool's offset is taken")
    if len(theirs) != len(ours):
        return [*told, f"{len(theirs)} moves for {len(ours)}"]
    for one, mine in zip(theirs, ours, strict=True):
        off = math.dist(one.step.end, (mine.x2, mine.z2))
        if one.step.rapid != mine.rapid or off > LENGTH:
            told.append(f"line {mine.line}: ends {off:.4f} mm apart")
        if mine.rapid:
            continue
        speed, feed = mine.mode.speed, one.feed * setup.unit
        feed = feed if one.per_turn else feed / one.speed
        if (one.cap > 0) != mine.mode.surface or not one.turning:
            told.append(f"line {mine.line}: another kind of speed")
        written = one.speed * (0.3048 if one.cap and setup.units == "inch" else 1.0)
        if abs(feed - mine.mode.feed) > max(SPEED * mine.mode.feed, 1.1 * PRINTED * setup.unit):
            told.append(f"line {mine.line}: feed {feed:.4f} for {mine.mode.feed:.4f}")
        if abs(written - speed) > 1e-3 * speed or (one.cap or None) != (mine.mode.cap if one.cap else None):
            told.append(f"line {mine.line}: speed {written:.1f} for {speed:.1f}")
    seen = opinion([one.step for one in theirs], setup)
    rounding = PRINTED * setup.unit
    area = math.pi * float(np.max(seen.r)) ** 2
    back = program.readback
    for name, theirs_, mine_, most in (
        ("volume", seen.volume + setup.pockets, back.volume, max(VOLUME, 2 * area * rounding)),
        ("gouge", seen.gouge, back.gouge, LENGTH),
        ("stock left", seen.stock_left, back.stock_left, LENGTH),
    ):
        if abs(theirs_ - mine_) > most:
            told.append(f"{name} {theirs_:.4f} for {mine_:.4f}")
    return told


def _offset_taken(ran: open_control.Ran, unit: float) -> bool:
    x, _, z = (float(n) * unit for n in ran.named("USE_TOOL_LENGTH_OFFSET")[0].split(",")[0].split())
    return abs(x - open_control.OFFSET[0]) < 0.01 and abs(z - open_control.OFFSET[1]) < 0.01


@pytest.mark.parametrize("post", POSTS)
@pytest.mark.parametrize("sample", SAMPLES)
def test_the_control_runs_every_sample(sample, post, tmp_path):
    recut = resolve(load_job(job_file(sample), post=post))
    assert isinstance(recut, Recut)
    assert differences(recut, made(recut), tmp_path) == []


@pytest.mark.parametrize("post", POSTS)
def test_the_control_runs_generated_jobs(post, tmp_path, capsys):
    seeds, ran, wrong = count(300_000 + (500 if post == POSTS[0] else 0)), 0, []
    while ran < WANTED // 2:
        seed = next(seeds)
        recut = resolve(read(job_text(seed)))
        if isinstance(recut, Refused) or recut.stopped:
            continue
        recut = in_post(recut, post)
        wrong += [f"seed {seed}: {told}" for told in differences(recut, made(recut), tmp_path)[:3]]
        ran += 1
    with capsys.disabled():
        sys.stdout.write(f"\nthe open control ran {ran} generated programs in {post}, {len(wrong)} differ\n")
    assert not wrong, "\n".join(wrong[:20])


# ---- wrong programs ------------------------------------------------------------------------------

WRONG = (
    "G00 G01 X10.0 F0.1", "G01 X10.0 X11.0 F0.1", "M03 M04", "G18 G19", "G02 X10.0 Z10.0 F0.1",
    "G02 X60.0 Z10.0 I50.0 K50.0 F0.1", "G02 X60.0 Z10.0 I0.0 K0.0 F0.1", "T2 M6", "T0101 M6", "G92 S1800",
    "G50 S1800", "G28 U0", "G01 W1.0 F0.1", "(open", "(a (b) c)", "G01 X1.2.3 F0.1", "G01 X F0.1", "12.0",
    "G12.3", "M98 P1", "G33 X10.0", "N-1 G40", "G04", "G04 P-1", "G01 X60.0 F-1.0", "S-5", "G90 G91",
    "G43 H99", "G54 G55", "G80 X1.0", "G01 X60.0 I1.0 F0.1", "G53 X1.0", "G81 X1.0 Z1.0", "G01 X[1/0] F0.1",
    "G20.5", "M2.5", "G49 G43 H1", "G61 G64", "G04 X1.0", "G01 X#99999 F0.1", "M06 M61", "G20 G21", "G94 G95",
    "G10 L99 P1", "O1 call [", "G01 X60.0 Y1.0 U1.0 F0.1", "G52", "M07 M09", "G07.5", "G76 P1",
)  # fmt: skip


@pytest.mark.parametrize("post", POSTS)
def test_what_the_control_refuses_our_readback_refuses(post, tmp_path):
    recut = resolve(load_job(job_file("pump-engine"), post=post))
    assert isinstance(recut, Recut)
    text, setup = made(recut).text, setup_of(recut, frame_of(recut))
    programs = {block: text.replace("M08\n", f"M08\n{block}\n", 1) for block in WRONG}
    programs |= {"no end": text.replace("M02\n", ""), "one percent": "%\n" + text.replace("M02\n", "")}
    refused = [name for name, wrong in programs.items() if open_control.run(wrong, tmp_path).refused]
    assert len(refused) >= 40
    assert [name for name in refused if readback(programs[name], setup).ok] == []
