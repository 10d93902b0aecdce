"""The crown formula only ever advises."""

import pytest

from toolpath.profile.crown_formula import advice


@pytest.mark.parametrize(("floor", "severity"), [(15.0, "warning"), (16.0, "note")])
def test_advice_never_permits_or_stops(floor: float, severity: str):
    finding = advice(floor, pressure=5.0, diameter=100.0, stress=38.0)
    assert finding.severity == severity
    assert "engine builder" in finding.advice
    assert "fixed at its rim" in finding.what


def test_a_job_that_states_pressure_and_stress_gets_the_comparison():
    from toolpath.api import load_job
    from toolpath.recut import resolve
    from toolpath.reference import folder

    job = load_job(folder("samples") / "pump-engine.toml")
    engine = job.engine.model_copy(update={"peak_pressure": 5.0, "crown_stress": 50.0})
    found = [
        f for f in resolve(job.model_copy(update={"engine": engine})).findings if f.code == "crown-formula"
    ]
    assert [f.severity for f in found] == ["warning"]
    # sqrt(3 p D^2/(16 sigma)) for p 5, D 91, sigma 50 by hand
    assert found[0].limit == pytest.approx(91.0 * (15.0 / 800.0) ** 0.5)
    assert not [f for f in resolve(job).findings if f.code == "crown-formula"]
