"""Lengths far outside what the bore makes plausible."""

from collections.abc import Iterator

from toolpath.findings import Finding
from toolpath.job.model import Job


def unit_slips(job: Job) -> Iterator[Finding]:
    """Lengths far outside what the bore (or the crown) makes plausible: usually a slip of the unit."""
    crown = job.piston.crown_diameter
    if not 20 <= crown <= 400:
        yield _slip("piston.crown_diameter", crown, 20 if crown < 20 else 400)
        return
    if job.engine is not None and abs(job.engine.bore / crown - 1) > 0.1:
        yield _slip("engine.bore", job.engine.bore, crown)
    elif job.engine is not None and job.engine.bore <= crown:
        what = "engine.bore is no larger than the crown, so the piston would not enter it"
        advice = "measure bore and crown again"
        yield Finding("refused", "unit-slip", what, job.engine.bore, crown, "mm", advice)
    shares = (  # of the crown's diameter; common practice, no source
        ("crown.skim", job.crown.skim, 0.1),
        ("crown.edge_break", job.crown.edge_break, 0.08),
        ("dish.lip_break", job.dish.lip_break, 0.08),
        ("piston.underside_depth", job.piston.underside_depth, 1.0),
        ("piston.top_land", job.piston.top_land, 0.4),
        ("existing.depth", job.existing.depth, 0.5),
        ("dish.depth", job.dish.depth, 0.5),
        ("tool.insert_diameter", job.tool.insert_diameter, 0.6),
        ("cutting.skim_depth_of_cut", job.cutting.skim_depth_of_cut, 0.1),
        ("cutting.dish_depth_of_cut", job.cutting.dish_depth_of_cut, 0.1),
        ("cutting.clearance", job.cutting.clearance, 0.5),
        ("setup.touch_off", job.setup.touch_off, 0.01),
        ("setup.refit", job.setup.refit, 0.01),
        ("setup.feeler", job.setup.feeler, 0.05),
        ("machine.readout", job.machine.readout, 0.005),
    )
    for key, value, share in shares:
        if value is not None and value > share * crown:
            yield _slip(key, value, share * crown)
    if job.engine is not None:
        e = job.engine
        for key, value, low, high in (
            ("engine.stroke", e.stroke, 0.2 * e.bore, 4 * e.bore),
            ("engine.gasket_thickness", e.gasket_thickness, 0.05, 0.1 * e.bore),
            ("engine.deck_clearance", abs(e.deck_clearance), 0.0, 0.15 * e.bore),
        ):
            if not low <= value <= high:
                yield _slip(key, value, low if value < low else high)


def _slip(key: str, value: float, limit: float) -> Finding:
    return Finding(
        "refused",
        "unit-slip",
        f"{key} cannot be right on a piston of this size",
        value,
        limit,
        "mm",
        "look at the decimal point and the unit of this value",
    )
