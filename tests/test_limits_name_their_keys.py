"""What the command says of the old dish, and which key a refusal comes from."""

import pytest

from tests.sample_jobs import job_file, run

EDITS = {
    "min_floor": ("floor-too-thin", ("min_floor = 6.0", "min_floor = 9.9"), "piston.min_floor"),
    "min_top_land": ("top-land", ("min_top_land = 6.5", "min_top_land = 7.8"), "piston.min_top_land"),
    "min_wall": ("wall-to-groove", ("min_wall_to_groove = 4.0", "min_wall_to_groove = 20.0"),
                 "piston.min_wall_to_groove"),
    "min_rim": ("rim-width", ("min_rim = 8.0", "min_rim = 12.0"), "piston.min_rim"),
    "head room": ("head-room", ("min_head_room = 1.0", "min_head_room = 2.5"), "engine.min_head_room"),
    "clamp": ("clamp-force", ("max_force = 15000", "max_force = 1500"), "holding.max_force"),
    "grip": ("piston-slips", ("# min_factor = 2 ", "min_factor = 90 "), "holding.min_factor"),
    "fixture": ("setup-speed", ("rpm_limit = 2500", "rpm_limit = 1000"), "holding.rpm_limit"),
    "bar": ("pin-bar", ("dummy_pin = 22.0", "dummy_pin = 25.0"), "holding.pin_bore"),
    "mouth": ("mouth-beyond-crown", ("mouth_diameter = 68.0", "mouth_diameter = 95.0"), "dish.mouth_diameter"),
    "corner": ("corner-under-insert", ("corner_radius = 5.0", "corner_radius = 4.0"), "dish.corner_radius"),
    "reach": ("target-out-of-reach", ("volume_cc = 11.6", "volume_cc = 5.0"), "dish.volume_cc"),
    "holder": ("holder-contact", ("set_back = 3.0", "set_back = 0.0"), "holder"),
}  # fmt: skip


def checked(tmp_path, *edits, sample="pump-engine"):
    text = job_file(sample).read_text()
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    job = tmp_path / "job.toml"
    job.write_text(text)
    done = run("check", job)
    return done.exit_code, " ".join(done.output.split())


@pytest.mark.parametrize(("code", "edit", "key"), EDITS.values(), ids=EDITS)
def test_a_refusal_names_the_key_whose_limit_it_is(tmp_path, code, edit, key):
    exit_code, told = checked(tmp_path, edit)
    refused = [line for line in told.split("refused: ")[1:] if key in line.split("note:")[0]]
    assert exit_code == 1
    assert refused, told


def test_a_dish_wholly_inside_the_old_one_says_that_none_is_cut(tmp_path):
    code, told = checked(
        tmp_path,
        ("mouth_diameter = 68.0", "mouth_diameter = 40.0"),
        ("volume_cc = 11.6", "depth = 1.0"),
        ("skim = 0.5", "skim = 0"),
        ("edge_break = 0.4", "edge_break = 0"),
    )
    assert code == 0
    assert "lies wholly inside the old one, so no dish is cut" in told
    assert "-0.000" not in told


def test_a_mouth_asked_for_inside_the_old_one_is_told(tmp_path):
    """The old mouth of 64 is 60.96 wide after the skim of 0.5; 55 is asked for."""
    code, told = checked(tmp_path, ("mouth_diameter = 68.0", "mouth_diameter = 55.0"))
    assert code == 0
    assert "wider after the skim than dish.mouth_diameter" in told


def test_an_old_bowl_deeper_than_the_new_floor_is_named_with_depth_and_diameter(tmp_path):
    code, told = checked(tmp_path)
    assert code == 0
    assert (
        "warning: the old dish stays below the new floor inside diameter 39.91 mm; its depth: 5.221 mm"
        in told
    )


def test_no_edge_break_and_no_lip_break_are_zero(tmp_path):
    code, told = checked(
        tmp_path, ("edge_break = 0.4", "edge_break = 0"), ("# lip_break = 0.2", "lip_break = 0")
    )
    assert code == 0, told


@pytest.mark.parametrize(
    ("edits", "says"),
    [
        ((("feed = 0.10", 'feed = "0.1 in"'),), "2.54 mm/rev is over a quarter of the insert radius, 1.25 mm"),
        ((("# finish_feed = 0.10", "finish_feed = 1.3"),), "cutting.finish_feed = 1.3"),
        (
            (("surface_speed = 250", "fixed_rpm = 9000"), ("rpm_limit = 1800", "# rpm_limit = 1800")),
            "cutting.fixed_rpm = 9000: it is over 1500 rev/min, the cap where cutting.rpm_limit is not stated",
        ),
        ((("# finish_rpm = 900", "finish_rpm = 900"),), "it needs cutting.fixed_rpm"),
    ],
)  # fmt: skip
def test_feeds_and_speeds_that_nobody_means_are_refused(tmp_path, edits, says):
    code, told = checked(tmp_path, *edits)
    assert code == 2
    assert says in told


def test_a_feed_over_a_tenth_of_the_radius_is_told(tmp_path):
    code, told = checked(tmp_path, ("feed = 0.10", "feed = 0.6"))
    assert code == 0, told
    assert "cutting.feed is over a tenth of the insert radius: 0.6 mm/rev (limit 0.5 mm/rev)" in told


def test_a_lip_on_a_wall_shared_with_the_old_dish_is_cut_not_filed(tmp_path):
    """The new flat dish keeps the old one's wall and goes deeper; 46 of 60 such jobs said "file" before."""
    code, told = checked(
        tmp_path,
        ('form = "spherical" ', 'form = "flat" '),
        ("mouth_diameter = 64.0", "mouth_diameter = 62.0\ncorner_radius = 3"),
        ("volume_cc = 9.3 ", "depth = 4.5 #"),
        ("mouth_diameter = 68.0", "mouth_diameter = 62.0"),
        ("volume_cc = 11.6", "depth = 4.6"),
        ("# lip_break = 0.2", "lip_break = 0.3"),
    )
    assert code == 0, told
    assert "left for a file" not in told
