"""Tool body, crown and grip of a whole recut: each figure from its own rule, each silence where nothing is said."""

import math
from collections.abc import Iterable

import pytest

from toolpath.clearance import room
from toolpath.clearance.flank import FINISHED
from toolpath.clearance.heel import Rub
from toolpath.clearance.room import clearance_of
from toolpath.findings import Finding
from toolpath.job.load import load
from toolpath.recut import Recut, resolve
from toolpath.reference import folder, table
from toolpath.tool.insert import decode
from toolpath.workholding.grip import grip_findings

SAMPLE = (folder("samples") / "pump-engine.toml").read_text(encoding="utf-8")


def recut(*without: str, **instead: str) -> Recut:
    """The sample without some tables, and with other values for some keys (under their table's name)."""
    tables = SAMPLE.split("\n[")
    kept = [t for t in tables if not t.startswith(tuple(f"{name}]" for name in without))]
    for name, line in instead.items():
        section, key = name.split("__")
        at = next(k for k, t in enumerate(kept) if t.startswith(f"{section}]"))
        rows = [row for row in kept[at].split("\n") if row.split("=")[0].strip() != key]
        kept[at] = "\n".join([rows[0], *([f"{key} = {line}"] if line else []), *rows[1:]])
    job = load(
        "\n[".join(kept),
        name="job.toml",
        known_materials=frozenset(table("materials")),
        known_posts=frozenset({"iso6983"}),
        insert_radius=lambda designation: decode(designation).radius,
    )
    return resolve(job)


def codes(found: Iterable[Finding]) -> list[str]:
    return [f.code for f in found]


def grip_of(made: Recut) -> list[Finding]:
    assert made.design is not None
    assert made.plan is not None
    return grip_findings(made.design, made.plan)


def test_crown_holder_and_flank_are_all_measured():
    made = recut()
    assert made.clearance is not None
    assert made.clearance.crown.top_land == pytest.approx(7.5)
    assert made.clearance.holder is not None
    assert made.clearance.holder.gap > 0.02
    assert made.clearance.flank is not None
    # 7 degrees of relief on the wall of radius 34: 34 sin 14 deg, the corner's arc a little lower down
    assert made.clearance.flank.contact_height >= 34 * math.sin(math.radians(14))
    assert made.clearance.flank.underside_room is not None
    assert made.clearance.flank.underside_room > 0
    assert len(made.clearance.flank.template) == 51  # down to 25 mm in halves
    assert codes(made.findings).count("holder-height-not-stated") == 1


def test_what_is_not_stated_is_not_measured():
    made = recut("holder")
    assert made.clearance is not None
    assert made.clearance.holder is None
    assert "holder-height-not-stated" in codes(made.findings)


def test_a_stated_height_is_where_the_template_ends():
    made = recut(holder__height_below_edge="10.0")
    assert made.clearance is not None
    assert made.clearance.flank is not None
    assert made.clearance.flank.template[-1][0] == 10.0
    assert "holder-height-not-stated" not in codes(made.findings)


def test_without_a_dish_cut_there_is_no_flank_to_follow():
    whole = recut().design
    assert whole is not None
    faced = recut(dish__volume_cc=f"{whole.skimmed.volume_below() / 1000:.12f}")
    assert faced.plan is not None
    assert faced.plan.contour is None
    assert faced.clearance is not None
    assert faced.clearance.flank is None
    assert faced.clearance.holder is not None


def test_a_tilted_seat_adds_to_the_relief():
    plain, tilted = recut().clearance, recut(tool__seat_tilt="3.0").clearance
    assert plain is not None
    assert tilted is not None
    assert plain.flank is not None
    assert tilted.flank is not None
    assert tilted.flank.contact_height > plain.flank.contact_height + 1.0


def test_findings_come_in_the_order_in_which_one_looks():
    made = recut(
        piston__min_floor="9.0",
        holder__set_back="0.0",
        engine__peak_pressure="60",
        engine__crown_stress="40",
    )
    assert made.design is not None
    assert made.plan is not None
    _, found = clearance_of(made.design, made.plan.work, made.plan.contour, made.steps)
    assert codes(found) == [
        "floor-too-thin",
        "holder-contact",
        "crown-formula",
        "holder-height-not-stated",
    ]


@pytest.mark.parametrize(
    "missing", ["engine__peak_pressure", "engine__crown_stress", "piston__underside_depth"]
)
def test_the_crown_formula_needs_floor_pressure_and_stress(missing: str):
    stated = {"engine__peak_pressure": "60", "engine__crown_stress": "40"} | {missing: ""}
    assert "crown-formula" not in codes(recut(**stated).findings)


# ---- grip: 20 N m on M10 pull 20/(0.2 x 0.010) = 10 kN; the seat holds 0.15 x 10 kN x 42 mm = 63 N m


def test_the_factor_is_that_of_the_greatest_bite_at_the_crowns_edge():
    """k = kc11 h^-mc (Kienzle), h = f sin(kappa), cos(kappa) = 1 - a/R; the cut pulls at 45.2 mm."""
    made = recut()
    assert made.plan is not None
    bite, radius = made.plan.greatest_bite, made.insert.radius
    material = table("materials")["aluminium-silicon"]
    chip = 0.1 * math.sqrt(1 - (1 - bite / radius) ** 2)
    force = material["kc11"] * chip ** -material["mc"] * bite * 0.1
    (grip,) = [f for f in grip_of(made) if f.code == "grip"]
    assert grip.value == pytest.approx(63.0 / (force * 0.0452))
    assert grip.limit == 2.0


@pytest.mark.parametrize(
    ("without", "instead", "found"),
    [
        pytest.param((), {}, ["pin-bar", "grip"], id="the sample"),
        pytest.param(("holding",), {}, [], id="nothing stated"),
        pytest.param((), {"holding__rpm_limit": "1800"}, ["pin-bar", "grip"], id="as fast as it may"),
        pytest.param((), {"holding__rpm_limit": "1799"}, ["setup-speed", "pin-bar", "grip"], id="too fast"),
        pytest.param((), {"holding__rpm_limit": ""}, ["pin-bar", "grip"], id="no speed limit"),
        pytest.param((), {"holding__dummy_pin": ""}, ["grip"], id="no bar"),
        pytest.param((), {"holding__pin_bore": ""}, ["grip"], id="no bore"),
        pytest.param((), {"holding__thread": "", "holding__torque": ""}, ["pin-bar"], id="no thread"),
        pytest.param((), {"holding__torque": ""}, ["pin-bar"], id="no torque"),
        pytest.param((), {"holding__seat_diameter": ""}, ["pin-bar"], id="no seat"),
        pytest.param((), {"holding__max_force": "9999"}, ["pin-bar", "grip", "clamp-force"], id="too hard"),
        pytest.param((), {"holding__min_factor": "30"}, ["pin-bar", "piston-slips"], id="slips"),
    ],
)
def test_what_is_said_of_the_grip(without: tuple[str, ...], instead: dict[str, str], found: list[str]):
    assert codes(grip_of(recut(*without, **instead))) == found


def test_a_fixed_speed_is_held_against_the_setup():
    made = recut(
        cutting__surface_speed="",
        cutting__fixed_rpm="1900",
        cutting__rpm_limit="2000",
        holding__rpm_limit="1850",
    )
    (fast,) = [f for f in grip_of(made) if f.code == "setup-speed"]
    assert (fast.value, fast.limit) == (1900, 1850)


def test_a_stated_clamp_force_stands_for_thread_and_torque():
    made = recut(holding__thread="", holding__torque="", holding__clamp_force="5000")
    half, whole = (next(f.value for f in grip_of(m) if f.code == "grip") for m in (made, recut()))
    assert half == pytest.approx(whole / 2)


def test_a_heel_that_rubs_on_the_way_is_told_before_the_flank_in_the_finished_dish(
    monkeypatch: pytest.MonkeyPatch,
):
    def rubs(steps: object, radius: float, relief: float, down_to: float) -> Rub:
        return Rub(0.5 * down_to, 12.5, "on the ramp in at X 12.50 (radius)")

    whole = recut().clearance.flank
    assert whole is not None
    assert whole.where == FINISHED
    monkeypatch.setattr(room, "rub", rubs)
    found = recut().clearance.flank
    assert found is not None
    assert found.contact_height < whole.contact_height
    assert (found.at_x, found.meets, found.where) == (12.5, True, "on the ramp in at X 12.50 (radius)")
