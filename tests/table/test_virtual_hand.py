"""Every table of generated jobs cut by a virtual hand: never over, and both printed volumes hold."""

import math
import os
import random
from collections.abc import Iterator
from itertools import pairwise

import pytest

from tests.jobs.generator import job_text
from tests.jobs.judged import read
from tests.table.virtual_hand import cut_by_hand, rows
from toolpath.errors import DishpathError
from toolpath.findings import stops
from toolpath.job.model import Job
from toolpath.program.by_hand import ByHand, rows_of_csv, table_of
from toolpath.readback.verdict import readback_rows
from toolpath.recut import Recut, resolve
from toolpath.reference import folder

COUNT = 1000 if os.environ.get("DISHPATH_THOROUGH") == "1" else 40
SAME = 0.005  # cc
MOST_ROWS = 24
STEPS = {"mm": (0.005, 0.01), "inch": (0.0005 * 25.4, 0.001 * 25.4)}
DIALS = {"mm": (None, 0.02, 0.05), "inch": (None, 0.001 * 25.4)}


def lathe(seed: int) -> Job:
    """A generated job on a manual lathe: mm or inch, radius or diameter, with a dial or without."""
    job, rng = read(job_text(seed)), random.Random(seed)
    units = rng.choice(("mm", "inch"))
    machine = {
        "program_units": units,
        "x_reading": rng.choice(("diameter", "radius", None)),
        "readout": rng.choice(STEPS[units]),
        "handwheel_division": rng.choice(DIALS[units]),
        "decimals": None,
    }
    cutting = {"step_height": rng.choice((None, None, 0.02, 0.1))}
    return job.model_copy(
        update={
            "machine": job.machine.model_copy(update=machine),
            "cutting": job.cutting.model_copy(update=cutting),
        }
    )


def tables() -> Iterator[tuple[int, Recut, ByHand]]:
    for seed in range(COUNT):
        try:
            recut = resolve(lathe(seed))
            if not recut.stopped:
                yield seed, recut, table_of(recut)
        except DishpathError:
            continue  # refused in a sentence


@pytest.fixture(scope="module", name="every")
def _every() -> list[tuple[int, Recut, ByHand]]:
    return list(tables())


def test_a_hand_that_cuts_the_rows_never_cuts_over_and_finds_both_printed_volumes(every):
    assert len(every) > COUNT / 5
    for seed, recut, by_hand in every:
        cut = cut_by_hand(by_hand)
        assert cut.seen.gouge < 0.002, seed
        assert cut.seen.least_x >= -1e-6, seed
        assert cut.as_cut == pytest.approx(cut.printed_as_cut, abs=SAME), seed
        assert cut.blended == pytest.approx(cut.printed_blended, abs=SAME), seed
        target = recut.design.seen(recut.design.finished.volume_below()) / 1000
        assert max(cut.as_cut, cut.blended) <= target + 0.001, seed
        assert by_hand.expected / 1000 == pytest.approx(cut.as_cut, abs=SAME), seed


def test_no_table_goes_deeper_than_what_was_checked(every):
    for seed, recut, by_hand in every:
        assert by_hand.plan.depth <= recut.design.depth + 1e-6, seed
        checked, left = recut.clearance.crown, by_hand.limits
        if checked.floor_thickness is not None:
            assert left.floor_thickness >= checked.floor_thickness - 1e-6, seed
        if checked.wall_to_groove is not None:
            assert left.wall_to_groove >= checked.wall_to_groove - 1e-3, seed
        assert not stops(by_hand.findings), seed


def test_rows_go_down_by_whole_divisions_and_the_stated_depth(every):
    for seed, recut, by_hand in every:
        cutting, readout = recut.job.cutting, by_hand.readout
        for kind, depth in (("skim", cutting.skim_depth_of_cut), ("rough", cutting.dish_depth_of_cut)):
            step = readout.step(depth)
            assert step * readout.resolution <= depth + 1e-9 or step == 1, seed
            division = readout.handwheel_division
            if division is not None and division <= depth:
                assert readout.divisions(step) == pytest.approx(round(readout.divisions(step))), seed
            heights = list(dict.fromkeys(c.z for c in by_hand.plan.cuts if c.cut == kind))
            downs = [a - b for a, b in pairwise(heights)]
            assert all(down % step == 0 for down in downs[:-2]), seed


def test_a_dish_takes_few_rows_or_leaves_little_to_blend(every):
    most = 0
    for seed, recut, by_hand in every:
        if recut.job.cutting.step_height is not None:
            continue
        dish = [c for c in by_hand.plan.cuts if c.cut != "skim"]
        plan, cutting = by_hand.plan, recut.job.cutting
        if len(dish) <= MOST_ROWS:
            most = max(most, len(dish))
            continue
        deep = plan.depth / cutting.dish_depth_of_cut > MOST_ROWS / 2
        assert deep or plan.left_to_blend <= recut.job.dish.tolerance / 2 or plan.step_left < 0.05, seed
    assert most > 5


SLOPES = {  # of a solid 84 mm crown, 60 or 52 mm across
    "a floor that falls 5 degrees": 'form = "tapered"\nfloor_angle = 5\nmouth_diameter = 60.0',
    "a floor that falls 6 degrees": 'form = "tapered"\nfloor_angle = 6\nmouth_diameter = 60.0',
    "a wall 30 degrees off": 'form = "flat"\nwall_angle = 30\nmouth_diameter = 52.0',
    "a wall and a wide corner": 'form = "flat"\nwall_angle = 30\ncorner_radius = 7\nmouth_diameter = 48.0',
    "a floor and a sloped wall": 'form = "tapered"\nfloor_angle = 4\nwall_angle = 20\nmouth_diameter = 60.0',
}


def sloped(dish: str, *, inch: bool, point: str, top_slide: bool = True) -> str:
    """A blank with a sloped dish, on a manual lathe."""
    text = (folder("samples") / "blank-bowl.toml").read_text(encoding="utf-8")
    for line in ('form = "spherical"', "mouth_diameter = 60.0", "lip_break = 0.3"):
        text = text.replace(line + "\n", "")
    text = text.replace("[dish]\n", f"[dish]\n{dish}\n").replace("insert-centre", point)
    units = 'program_units = "inch"\n' if inch else ""
    return text.replace(
        'post = "rs274ngc"', f'post = "dro-table"\n{units}top_slide = {str(top_slide).lower()}'
    )


@pytest.mark.parametrize("point", ["insert-centre", "face-outer"])
@pytest.mark.parametrize("inch", [False, True], ids=["mm", "inch"])
@pytest.mark.parametrize("dish", SLOPES.values(), ids=SLOPES)
def test_a_slope_is_turned_with_the_top_slide(dish, inch, point):
    recut = resolve(read(sloped(dish, inch=inch, point=point)))
    assert not recut.stopped
    by_hand = table_of(recut)
    cut = cut_by_hand(by_hand)
    slides = [row for row in rows(by_hand) if row["z_to"]]
    assert len(slides) == 2  # at the allowance, then to size
    assert len({row["angle"] for row in slides}) == 1
    assert cut.seen.gouge < 0.002
    assert cut.as_cut == pytest.approx(cut.printed_as_cut, abs=SAME)
    assert cut.blended == pytest.approx(cut.printed_blended, abs=SAME)
    stepped = table_of(resolve(read(sloped(dish, inch=inch, point=point, top_slide=False))))
    assert len(by_hand.table.rows) <= len(stepped.table.rows)
    assert by_hand.readback.ok, by_hand.readback.findings
    shown = math.degrees(math.asin(by_hand.plan.slope.indicated(20.0) / 20))
    assert min(shown, 90 - shown) == pytest.approx(
        min(float(slides[0]["angle"]), 90 - float(slides[0]["angle"])), abs=0.01
    )
    assert "Before touching off set the top slide over" in " ".join(by_hand.text.split())


def test_the_csv_of_a_slope_reads_back_and_an_edited_end_is_refused():
    recut = resolve(read(sloped(SLOPES["a floor that falls 5 degrees"], inch=False, point="face-outer")))
    by_hand = table_of(recut)
    assert by_hand.csv.startswith("row,cut,z,x_start,x_stop,infeed,how,z_to,angle,travel\n")
    assert readback_rows(rows_of_csv(by_hand.csv, "t.csv"), by_hand.setup).ok
    last = by_hand.csv.rstrip().splitlines()[-1].split(",")
    deeper = by_hand.csv.replace(f",{last[-3]},{last[-2]},", f",{float(last[-3]) - 0.5:.2f},{last[-2]},")
    assert not readback_rows(rows_of_csv(deeper, "t.csv"), by_hand.setup).ok


def test_a_bowl_has_no_slope_and_is_stepped_with_a_top_slide_too():
    text = (folder("samples") / "blank-bowl.toml").read_text(encoding="utf-8")
    with_slide = text.replace('post = "rs274ngc"', 'post = "rs274ngc"\ntop_slide = true')
    assert table_of(resolve(read(with_slide))).csv == table_of(resolve(read(text))).csv
