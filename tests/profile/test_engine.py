"""Clearance volume and ratio by hand; published ratios stand in tests/outside/test_compression.py."""

from dataclasses import replace
from math import pi

import pytest

from toolpath.errors import InputError
from toolpath.findings import Finding, Stopped
from toolpath.profile.engine import Engine, findings, ratios

AREA = pi / 4 * 90**2
ENGINE = Engine(bore=90.0, stroke=100.0, chamber=50e3, gasket_bore=91.0, gasket_thickness=1.0, deck=0.2)


def test_clearance_sums_its_parts():
    assert ENGINE.clearance(12e3) == pytest.approx(50e3 + pi / 4 * 91**2 + 0.2 * AREA + 12e3)


def test_a_proud_piston_takes_volume_away():
    proud = replace(ENGINE, deck=-0.2)
    assert ENGINE.clearance(0.0) - proud.clearance(0.0) == pytest.approx(0.4 * AREA)


def test_the_skim_opens_the_deck():
    assert ENGINE.clearance(0.0, skim=0.5) - ENGINE.clearance(0.0) == pytest.approx(0.5 * AREA)


def test_the_skim_shortens_the_crevice():
    engine = replace(ENGINE, crevice=800.0)
    assert engine.clearance(0.0, 2.0) - ENGINE.clearance(0.0, 2.0) == pytest.approx(800.0)
    engine = replace(engine, top_land=8.0)
    assert engine.clearance(0.0, 2.0) - ENGINE.clearance(0.0, 2.0) == pytest.approx(600.0)


def test_hollow_for_inverts_ratio():
    assert ENGINE.hollow_for(ENGINE.ratio(11.6e3, 0.5), 0.5) == pytest.approx(11.6e3)


def test_skim_for_a_deck_clearance():
    assert ENGINE.skim_for(0.7) == pytest.approx(0.5)
    assert ENGINE.skim_for(0.2) == 0.0


def test_ratios_fall_with_each_cut():
    table = ratios(ENGINE, as_received=9.3e3, skimmed=7.8e3, finished=11.6e3, skim=0.5)
    assert table.as_received == ENGINE.ratio(9.3e3)
    assert table.skim_alone == ENGINE.ratio(7.8e3, 0.5)
    assert table.dish_alone == ENGINE.ratio(11.6e3)
    assert table.both == ENGINE.ratio(11.6e3, 0.5)
    assert table.both < min(table.skim_alone, table.dish_alone) < table.as_received


def test_head_room_before_and_after():
    assert ENGINE.head_room() == pytest.approx(1.2)
    assert ENGINE.head_room(0.5) == pytest.approx(1.7)


def test_findings_on_head_room():
    (note,) = findings(ENGINE, 0.5)
    assert (note.severity, note.value, note.limit) == ("note", pytest.approx(1.7), None)
    (stop,) = findings(replace(ENGINE, min_head_room=2.0), 0.5)
    assert isinstance(stop, Finding)
    assert (stop.severity, stop.code, stop.limit) == ("refused", "head-room", 2.0)


def test_ratio_out_of_reach_failure():
    with pytest.raises(Stopped, match=r"no crown reaches dish\.compression_ratio") as stopped:
        ENGINE.hollow_for(14.0)
    assert stopped.value.finding.value == 14.0
    assert stopped.value.finding.limit == ENGINE.ratio(0.0)


def test_deck_failure():
    with pytest.raises(
        Stopped,
        match=r"already lies lower in the bore .* than crown.deck_clearance: 0\.1 mm \(limit 0\.2 mm\)",
    ):
        ENGINE.skim_for(0.1)


@pytest.mark.parametrize("ratio", [1.0, 0.0, -3.0, float("nan")])
def test_ratio_failure(ratio: float):
    with pytest.raises(InputError, match="it must be above 1"):
        ENGINE.hollow_for(ratio)


def test_nothing_left_failure():
    with pytest.raises(InputError, match=r"clearance volume -.* cc: it must be above 0"):
        replace(ENGINE, chamber=0.0, deck=-3.0).ratio(0.0)


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"bore": 0.0}, "engine bore 0 mm"),
        ({"stroke": -1.0}, "engine stroke -1 mm"),
        ({"gasket_thickness": float("nan")}, "engine gasket_thickness nan mm"),
        ({"top_land": 0.0}, "engine top_land 0 mm"),
        ({"chamber": -1.0}, "engine chamber -0.001 cc"),
        ({"crevice": -1.0}, "engine crevice"),
    ],
)
def test_engine_failure(change: dict[str, float], text: str):
    with pytest.raises(InputError, match=text):
        replace(ENGINE, **change)  # type: ignore[arg-type]
