"""What is still possible about a chip that is too thin."""

from types import SimpleNamespace
from typing import Any, cast

import pytest

from toolpath.planner.advice import _for_a_thicker_chip


@pytest.mark.parametrize(
    ("passes", "told"),
    [
        (
            [("skim", 0.01), ("rough", 0.5), ("finish", 0.15)],
            "skim in fewer passes (cutting.skim_depth_of_cut)",
        ),
        ([("skim", 0.25), ("rough", 0.5), ("finish", 0.01)], "leave more for the finishing cut"),
        ([("finish", 0.01)], "there is no more metal to leave for this cut"),
    ],
    ids=["thin skim", "thin finish", "last cut"],
)
def test_advice_on_a_thin_chip_can_still_be_taken(passes: list[tuple[str, float]], told: str) -> None:
    """A last cut was once told to leave a larger allowance, when that was too late."""
    plan = SimpleNamespace(passes=[SimpleNamespace(kind=kind, bite=bite) for kind, bite in passes])
    thinnest = min(plan.passes, key=lambda one: one.bite)
    said = _for_a_thicker_chip(cast(Any, plan), cast(Any, thinnest))
    assert said.startswith("raise cutting.feed")
    assert told in said
