"""`check` in words: what was, what will be, what to watch, on one screen."""

from typing import Any

from toolpath.recut import Recut


def summary(recut: Recut, keys: dict[str, Any]) -> str:
    """The figures and findings of a recut as text of at most 100 columns, notes last."""
    lines = [recut.job.title or "Untitled job"]
    design = recut.design
    if design is not None:
        volume, section = keys["volume"], keys["section"]
        lines += [
            "",
            "What was",
            f"  crown diameter   {2 * design.received.outer:8.3f} mm",
            f"  dish             {volume['as_received_cc']:8.3f} cc as received",
            f"  after the skim   {volume['after_skim_cc']:8.3f} cc with {design.skim:.3f} mm off",
            "What will be",
            f"  dish             {volume['finished_cc']:8.3f} cc, target {volume['target_cc']:.3f} cc",
            f"  {section['form']:<16} {section['depth_mm']:8.3f} mm deep, "
            f"mouth {section['mouth_diameter_mm']:.3f} mm across",
        ]
        ratio = keys["compression"]
        if ratio["after"] is not None:
            lines.append(
                f"  compression      {ratio['after']:8.3f} to 1, was {ratio['before']:.3f} "
                f"(skim alone {ratio['skim_alone']:.3f}, dish alone {ratio['dish_alone']:.3f})"
            )
    removed, plan = keys["removed"], keys["plan"]
    if removed is not None:
        lines.append(f"  metal removed    {removed['volume_cc']:8.3f} cc, {removed['mass_g']:.2f} g")
    if plan is not None:
        lines.append(
            f"  passes           {plan['passes']:4d}     "
            f"({plan['passes_skim']} skim, {plan['passes_rough']} rough, {plan['passes_finish']} finish), "
            f"{plan['total_s'] / 60:.1f} min"
        )
    lines.append("What to watch")
    lines += [f"  {f.line()}" for f in recut.findings] or ["  nothing"]
    return "\n".join(lines)
