"""Clamp force, grip and the set-up's limits. The rules are common practice, so checks are by hand."""

import pytest

from toolpath.errors import InputError
from toolpath.workholding import holding
from toolpath.workholding.holding import Seat, grip, grip_findings, thread_diameter


@pytest.mark.parametrize(
    ("thread", "diameter"),
    [
        ("M10", 10.0),
        ("m10 x 1.25", 10.0),
        ("M12x1.75", 12.0),
        ("3/8", 9.525),
        ("3/8-16", 9.525),
        ("5/16-18 UNC", 7.9375),
        ('7/16"', 11.1125),
    ],
)
def test_thread_diameter(thread: str, diameter: float):
    assert thread_diameter(thread) == pytest.approx(diameter)


@pytest.mark.parametrize(
    ("thread", "text"),
    [
        ("10", 'thread "10": write it like "M10" or "3/8"'),
        ("M", 'thread "M": write it like'),
        ("3/0", 'thread "3/0": write it like'),
        ("M1000", 'thread "M1000": 1000 mm is outside 3 to 64 mm'),
        ("3/8/2", "write it like"),
    ],
)
def test_thread_diameter_failure(thread: str, text: str):
    with pytest.raises(InputError, match=text):
        thread_diameter(thread)


def test_seat_takes_half_its_diameter_or_its_ring():
    narrow = Seat(radius=40.0, friction=0.1)
    assert (narrow.effective_radius, narrow.rule) == (40.0, "half the seat diameter")
    ring = Seat(radius=40.0, friction=0.1, inner_radius=20.0)
    assert ring.effective_radius == pytest.approx(2 / 3 * (64000 - 8000) / (1600 - 400))
    assert ring.rule == "the effective radius of the seat"
    thin = Seat(radius=40.0, friction=0.1, inner_radius=39.99)
    assert thin.effective_radius == pytest.approx(40.0, abs=0.01)


@pytest.mark.parametrize(
    ("values", "text"),
    [
        ({"radius": 0.0, "friction": 0.1}, "seat diameter 0 mm"),
        ({"radius": 40.0, "friction": 0.0}, "friction 0: it must be above 0"),
        ({"radius": 40.0, "friction": 12.0}, "friction 12: it must be above 0 and at most 2"),
        ({"radius": 40.0, "friction": 0.1, "inner_radius": 40.0}, "seat inner diameter 80 mm"),
    ],
)
def test_seat_failure(values: dict[str, float], text: str):
    with pytest.raises(InputError, match=text):
        Seat(**values)


def test_grip_by_hand():
    held = grip(Seat(40.0, 0.12), 10e3, kc=1200.0, bite=0.5, feed=0.1, radius=45.0)
    assert held.cutting_force == pytest.approx(60.0)  # 1200 N/mm2 on 0.05 mm2
    assert held.cutting == pytest.approx(2.7)
    assert held.resisting == pytest.approx(48.0)
    assert held.factor == pytest.approx(48.0 / 2.7)


@pytest.mark.parametrize(
    ("clamp", "expected"),
    [
        (100.0, [("refused", "piston-slips")]),
        (10e3, [("note", "grip")]),
        (30e3, [("note", "grip"), ("refused", "clamp-force")]),
    ],
)
def test_grip_findings(clamp: float, expected: list[tuple[str, str]]):
    held = grip(Seat(40.0, 0.12), clamp, kc=1200.0, bite=0.5, feed=0.1, radius=45.0)
    found = grip_findings(held, min_factor=2.0, max_force=20e3)
    assert [(f.severity, f.code) for f in found] == expected
    assert found[0].value == held.factor
    assert all(f.advice for f in found if f.severity == "refused")


def test_no_limit_on_the_force_is_no_finding():
    held = grip(Seat(40.0, 0.12), 1e6, kc=1200.0, bite=0.5, feed=0.1, radius=45.0)
    assert [f.code for f in grip_findings(held, min_factor=2.0, max_force=None)] == ["grip"]


@pytest.mark.parametrize(("bar", "severity"), [(21.9, "note"), (22.0, "refused"), (22.1, "refused")])
def test_bar_findings(bar: float, severity: str):
    (finding,) = holding.bar_findings(bar, 22.0)
    assert finding.severity == severity


def test_speed_findings():
    assert holding.speed_findings(1200.0, 1200.0) == ()
    (stop,) = holding.speed_findings(1201.0, 1200.0)
    assert (stop.severity, stop.code, stop.unit) == ("refused", "setup-speed", "rev/min")
