"""A sound job as keys and TOML literals, and ways to spoil it."""

SOUND = {
    "units": '"mm"',
    "title": '"Sound"',
    "piston.count": "2",
    "piston.crown_diameter": "90.4",
    "piston.underside_depth": "13.5",
    "piston.min_floor": "6.0",
    "piston.top_land": "8.0",
    "existing.form": '"spherical"',
    "existing.mouth_diameter": "64.0",
    "existing.volume_cc": "9.3",
    "crown.skim": "0.5",
    "dish.form": '"flat"',
    "dish.mouth_diameter": "68.0",
    "dish.volume_cc": "11.6",
    "dish.corner_radius": "5.0",
    "tool.insert": '"RCGT 10T3 M0"',
    "cutting.surface_speed": "250",
    "cutting.feed": "0.1",
    "cutting.skim_depth_of_cut": "0.25",
    "cutting.dish_depth_of_cut": "0.5",
    "machine.post": '"iso6983"',
    "burette.capacity_cc": "25",
    "burette.class": '"A"',
    "burette.graduation_cc": "0.05",
}


def job_text(changes: dict[str, str | None] | None = None) -> str:
    """The sound job with some keys changed, added, or (None) taken away, as dotted TOML keys."""
    keys: dict[str, str | None] = {**SOUND, **(changes or {})}
    return "".join(f"{key} = {literal}\n" for key, literal in keys.items() if literal is not None)
