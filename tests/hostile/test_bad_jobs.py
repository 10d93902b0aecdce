"""Job files that nobody should be able to cut from: refused in plain lines, at once, nothing written.

Exit 2: the file cannot be used, and a line names file, key and value. Exit 1: understood, but a finding
forbids it. Where a row has no fragment the message is only held to the common rules of `refused`.
"""

import pytest

from tests.hostile.jobs import job_text

NOT_NUMBERS = {  # for any length
    "true": "true",
    "text": '"many"',
    "empty text": '""',
    "list": "[90.4]",
    "table": "{ value = 90.4 }",
    "nan": "nan",
    "minus nan": "-nan",
    "inf": "inf",
    "minus inf": "-inf",
    "zero": "0",
    "negative": "-90.4",
    "too large": "1e300",
    "huge integer": "9" * 400,
    "date": "1979-05-27",
    "time": "07:32:00",
    "unknown unit": '"90.4 furlong"',
    "two numbers": '"90.4 1 mm"',
    "number in other digits": '"９０ mm"',
    "nan in text": '"nan mm"',
    "inf in text": '"inf mm"',
    "hex in text": '"0x5A mm"',
    "decimal comma": '"90,4 mm"',
}
LENGTHS = ("piston.crown_diameter", "dish.mouth_diameter", "cutting.feed", "cutting.dish_depth_of_cut")

UNUSABLE = {  # exit 2: changes, and what the line must say
    "no such unit": ({"units": '"cm"'}, ("units", '"cm"')),
    "units missing": ({"units": None}, ("units",)),
    "units a number": ({"units": "1"}, ("units",)),
    "title a number": ({"title": "5"}, ("title",)),
    "title too long": ({"title": '"' + "x" * 5001 + '"'}, ("title",)),
    "unknown key": ({"piston.crown_diametre": "90.4"}, ("crown_diametre", "crown_diameter")),
    "unknown table": ({"pistons.count": "4"}, ("pistons",)),
    "key in the wrong table": ({"dish.skim": "0.5"}, ("dish.skim", "[crown]")),
    "passes beyond counting": (
        {"cutting.dish_depth_of_cut": "0.0002", "cutting.allowance": "0.0001"},
        ("cutting.dish_depth_of_cut = 0.0002 mm", "10,000"),
    ),
    "count zero": ({"piston.count": "0"}, ("piston.count", "0")),
    "count negative": ({"piston.count": "-4"}, ("piston.count", "-4")),
    "count a fraction": ({"piston.count": "1.5"}, ("piston.count", "1.5")),
    "count absurd": ({"piston.count": "10001"}, ("piston.count", "10001")),
    "count beyond all": ({"piston.count": "1e400"}, ("piston.count",)),
    "count true": ({"piston.count": "true"}, ("piston.count", "true")),
    "material unknown": ({"piston.material": '"unobtainium"'}, ("unobtainium", "cast-iron")),
    "material a list": ({"piston.material": '["cast-iron"]'}, ("piston.material",)),
    "existing form unknown": ({"existing.form": '"toroidal"'}, ("existing.form", "spherical")),
    "existing form missing": ({"existing.form": None}, ("existing.form",)),
    "existing over-stated": ({"existing.depth": "3"}, ("existing",)),
    "existing under-stated": ({"existing.volume_cc": None}, ("existing",)),
    "existing deeper than a ball": (
        {"existing.depth": "33", "existing.volume_cc": None},
        ("existing.depth", "33"),
    ),
    "points without points": ({"existing.form": '"points"', "existing.mouth_diameter": None}, ("points",)),
    "skim negative": ({"crown.skim": "-0.7"}, ("crown.skim = -0.7",)),
    "skim and deck": ({"crown.deck_clearance": "0.4"}, ("crown",)),
    "deck without engine": ({"crown.skim": None, "crown.deck_clearance": "0.4"}, ("[engine]",)),
    "ratio without engine": ({"dish.volume_cc": None, "dish.compression_ratio": "9"}, ("[engine]",)),
    "ratio of one": ({"dish.volume_cc": None, "dish.compression_ratio": "1"}, ("dish.compression_ratio",)),
    "dish form unknown": ({"dish.form": '"toroidal"'}, ("dish.form", "toroidal")),
    "dish under-stated": ({"dish.volume_cc": None}, ("dish",)),
    "dish over-stated": ({"dish.depth": "4"}, ("dish", "leave one out")),
    "wall angle upright the other way": ({"dish.wall_angle": "-1"}, ("dish.wall_angle",)),
    "wall angle lying": ({"dish.wall_angle": "90"}, ("dish.wall_angle",)),
    "floor angle for a flat dish": ({"dish.floor_angle": "2"}, ("dish.floor_angle",)),
    "tolerance zero": ({"dish.tolerance_cc": "0"}, ("dish.tolerance_cc",)),
    "volume in text": ({"dish.volume_cc": '"11.6 cc"'}, ("dish.volume_cc",)),
    "volume negative": ({"dish.volume_cc": "-11.6"}, ("dish.volume_cc", "-11.6")),
    "volume of a bath": ({"dish.volume_cc": "1e12"}, ("dish.volume_cc",)),
    "insert not round": ({"tool.insert": '"CCMT 09T308"'}, ("tool.insert",)),
    "insert undecodable": ({"tool.insert": '"?"'}, ("tool.insert",)),
    "insert empty": ({"tool.insert": '""'}, ("tool.insert",)),
    "insert twice": ({"tool.insert_diameter": "10"}, ("tool",)),
    "insert missing": ({"tool.insert": None}, ("tool.insert",)),
    "insert of 5000 letters": ({"tool.insert": '"' + "R" * 5000 + '"'}, ("tool.insert",)),
    "control point unknown": ({"tool.control_point": '"tip"'}, ("control_point", "face-outer")),
    "no speed": ({"cutting.surface_speed": None}, ("cutting.surface_speed",)),
    "two speeds": ({"cutting.fixed_rpm": "900"}, ("cutting.surface_speed",)),
    "rpm over its limit": (
        {"cutting.surface_speed": None, "cutting.fixed_rpm": "900", "cutting.rpm_limit": "500"},
        ("fixed_rpm", "900"),
    ),
    "feed over half the radius": ({"cutting.feed": "2.6"}, ("cutting.feed = 2.6",)),
    "feed in inches per revolution": ({"cutting.feed": '"0.2 in"'}, ("cutting.feed",)),
    "allowance not below the cut": ({"cutting.allowance": "0.5"}, ("cutting.allowance = 0.5",)),
    "ramp upright": ({"cutting.ramp_angle": "90"}, ("cutting.ramp_angle",)),
    "ramp level": ({"cutting.ramp_angle": "0"}, ("cutting.ramp_angle",)),
    "skim in a million passes": ({"cutting.skim_depth_of_cut": "0.000001"}, ("skim_depth_of_cut", "passes")),
    "dish in 16 000 passes": (
        {"cutting.dish_depth_of_cut": "0.0001", "cutting.allowance": "0.00001"},
        ("dish_depth_of_cut", "passes"),
    ),
    "post unknown": ({"machine.post": '"heidelberg"'}, ("machine.post", "system-a")),
    "post a path": ({"machine.post": '"../../etc/passwd"'}, ("machine.post",)),
    "decimals two": ({"machine.decimals": "2"}, ("machine.decimals",)),
    "decimals absurd": ({"machine.decimals": "400"}, ("machine.decimals",)),
    "program number too large": ({"machine.program_number": "10000"}, ("program_number",)),
    "a block in the tool word": ({"machine.tool_word": '"T0101 G00 X0"'}, ("machine.tool_word",)),
    "a line end in the tool word": ({"machine.tool_word": '"T0101\\nG00 X0.0"'}, ("machine.tool_word",)),
    "a line end at the end of the tool word": ({"machine.tool_word": '"T0101\\n"'}, ("machine.tool_word",)),
    "a block in the work offset": ({"machine.work_offset": '"G54 G28"'}, ("machine.work_offset",)),
    "work offset in other digits": ({"machine.work_offset": '"G５4"'}, ("machine.work_offset",)),
    "stops a word": ({"machine.optional_stops": '"yes"'}, ("machine.optional_stops",)),
    "stops a number": ({"machine.optional_stops": "1"}, ("machine.optional_stops",)),
    "sense a wrong word": ({"machine.spindle_direction": '"left"'}, ("machine.spindle_direction",)),
    "burette class C": ({"burette.class": '"C"'}, ("burette.class",)),
    "burette fills absurd": ({"burette.fills": "100000"}, ("burette.fills",)),
    "pocket not a list": ({"pocket.volume_cc": "0.8"}, ("pocket",)),
    "points of one": (
        {"dish.form": '"points"', "dish.corner_radius": None, "dish.points": "[[0, 3]]"},
        ("dish.points",),
    ),
    "points not rising": (
        {"dish.form": '"points"', "dish.corner_radius": None, "dish.points": "[[0, 3], [30, 2], [30, 0]]"},
        ("dish.points",),
    ),
    "points with a triple": (
        {"dish.form": '"points"', "dish.corner_radius": None, "dish.points": "[[0, 3, 1], [30, 0, 1]]"},
        ("dish.points",),
    ),
    "points with nan": (
        {"dish.form": '"points"', "dish.corner_radius": None, "dish.points": "[[0, nan], [30, 0]]"},
        ("dish.points",),
    ),
    "20 000 points": (
        {
            "dish.form": '"points"',
            "dish.corner_radius": None,
            "dish.points": str([[k / 500, 3] for k in range(20_000)]),
        },
        ("dish.points",),
    ),
    "holder without a width": ({"holder.direction": '"z"'}, ("holder.width",)),
    "holder of one corner": ({"holder.outline": "[[0, 0]]"}, ("holder.outline",)),
    "torque without a thread": ({"holding.torque": "20"}, ("holding.thread",)),
}

FORBIDDEN = {  # exit 1: changes, and the code or a word of the finding
    "skim of 75 for 0.075": ({"crown.skim": "75"}, "crown.skim"),
    "skim of 0.5 inches": ({"crown.skim": '"0.5 in"'}, "crown.skim"),
    "crown in inches": ({"piston.crown_diameter": "3.56"}, "crown_diameter"),
    "crown of a ship": ({"piston.crown_diameter": "2400"}, "crown_diameter"),
    "a whole job in inches read as mm": ({"units": '"inch"', "cutting.feed": '"0.1 mm"'}, "crown_diameter"),
    "depth of cut of 25 for 0.25": ({"cutting.skim_depth_of_cut": "25"}, "skim_depth_of_cut"),
    "mouth as wide as the crown": ({"dish.mouth_diameter": "90.5"}, "mouth"),
    "mouth of a pin hole": ({"dish.mouth_diameter": "5"}, "mouth"),
    "corner under the insert": ({"dish.corner_radius": "2"}, "corner"),
    "target under the old dish": ({"dish.volume_cc": "2"}, "reach"),
    "target through the floor": ({"dish.volume_cc": "60"}, "reach"),
    "floor too thin": ({"dish.volume_cc": "26"}, "underside"),
    "sense that would cut with the back": ({"machine.spindle_direction": '"ccw"'}, "spindle"),
    "no negative X": (
        {
            "tool.control_point": '"face-inner"',
            "machine.negative_x": "false",
            "existing.form": '"none"',
            "existing.mouth_diameter": None,
            "existing.volume_cc": None,
            "piston.top_land": "9.5",
        },
        "below zero",
    ),
    "a dome": ({"piston.raised_crown": "0.3"}, "raised"),
    "raised points": (
        {
            "existing.form": '"points"',
            "existing.mouth_diameter": None,
            "existing.volume_cc": None,
            "existing.points": "[[0, -2], [60, 0]]",
        },
        "raised",
    ),
    "touched finished, but skimmed": ({"setup.crown_touched": '"finished"'}, "crown"),
}

NOT_TOML = {
    "empty": b"",
    "only a comment": b"# nothing\n",
    "binary": bytes(range(256)) * 40,
    "zeros": b"\0" * 5000,
    "latin-1": job_text({"title": '"Kolben für Motor"'}).encode("latin-1"),
    "utf-16": job_text().encode("utf-16"),
    "utf-32": job_text().encode("utf-32"),
    "truncated in a key": job_text().encode()[:-25],
    "truncated in a text": job_text().encode().split(b"RCGT")[0] + b"RC",
    "duplicate key": job_text().encode() + b"units = 'inch'\n",
    "duplicate table": b"[piston]\ncount = 1\n[piston]\ncount = 2\n",
    "JSON": b'{"units": "mm"}',
    "a program": b"%\nG18 G21\nM30\n%\n",
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(2000),
    "a zip": b"PK\x03\x04" + bytes(2000),
    "control characters": job_text().encode() + b'title2 = "\x07\x1b[31m"\n',
    "an escape sequence as a line": job_text().encode() + b"\x1b[2J\x1b[31m\n",
    "carriage returns only": job_text().replace("\n", "\r").encode(),
    "unclosed list": job_text().encode() + b"x = [[[[\n",
    "deep list": b"x = " + b"[" * 100_000 + b"]" * 100_000,
    "deep inline table": b"x = " + b"{a = " * 50_000 + b"1" + b"}" * 50_000,
    "deep dotted key": b".".join([b"a"] * 100_000) + b" = 1\n",
    "deep head": b"[" + b".".join([b"a"] * 100_000) + b"]\n",
    "a million keys": b"".join(b"k%d = 1\n" % k for k in range(60_000)),
    "2 MB of one line": b"title = '" + b"x" * 2_000_000 + b"'\n",
    "2 MB of comments": b"# nothing at all\n" * 120_000,
    "a number of 100 000 digits": b"x = " + b"9" * 100_000 + b"\n",
    "a float of 100 000 digits": b"x = 0." + b"9" * 100_000 + b"\n",
    "100 000 faulty pockets": job_text().encode() + b"[[pocket]]\n" * 50_000,
}


@pytest.mark.parametrize("key", LENGTHS)
@pytest.mark.parametrize("literal", NOT_NUMBERS.values(), ids=NOT_NUMBERS)
def test_what_is_no_length(key, literal, tmp_path, refused):
    job = tmp_path / "job.toml"
    job.write_text(job_text({key: literal}), encoding="utf-8")
    answer = refused("check", job, exit_code=2)
    line = _only_line_about(answer.err, key)
    assert line.startswith(f"job.toml: {key}")
    assert len(line) < 400


@pytest.mark.parametrize(("changes", "fragments"), UNUSABLE.values(), ids=UNUSABLE)
def test_unusable(changes, fragments, tmp_path, refused):
    job = tmp_path / "job.toml"
    job.write_text(job_text(changes), encoding="utf-8")
    answer = refused("make", job, "--no-pictures", exit_code=2)
    lines = answer.err.splitlines()
    assert all(line.startswith("job.toml: ") for line in lines)
    assert any(all(f in line for f in fragments) for line in lines), answer.err
    assert max(map(len, lines)) < 600


@pytest.mark.parametrize(("changes", "word"), FORBIDDEN.values(), ids=FORBIDDEN)
def test_forbidden(changes, word, tmp_path, refused):
    job = tmp_path / "job.toml"
    job.write_text(job_text(changes), encoding="utf-8")
    answer = refused("make", job, "--no-pictures", exit_code=1)
    assert word in answer.err


@pytest.mark.parametrize("data", NOT_TOML.values(), ids=NOT_TOML)
def test_not_a_job_file(data, tmp_path, refused):
    job = tmp_path / "job.toml"
    job.write_bytes(data)
    answer = refused("check", job, exit_code=2)
    assert all(line.startswith("job.toml: ") for line in answer.err.splitlines())
    assert len(answer.err) < 20_000


def _only_line_about(said: str, key: str) -> str:
    lines = [line for line in said.splitlines() if key in line]
    assert len(lines) == 1, said
    return lines[0]
