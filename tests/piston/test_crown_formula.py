"""The crown formula only ever advises."""

import pytest

from toolpath.piston.crown_formula import advice


@pytest.mark.parametrize(("floor", "severity"), [(15.0, "warning"), (16.0, "note")])
def test_advice_never_permits_or_stops(floor: float, severity: str):
    finding = advice(floor, pressure=5.0, diameter=100.0, stress=38.0)
    assert finding.severity == severity
    assert "engine builder" in finding.advice
    assert "fixed at its rim" in finding.what
