"""Readings files that a power cut, a spreadsheet or a stranger has spoiled."""

import pytest

from tests.hostile.jobs import job_text

HEADING = "reading,piston,after,method,value,unit,when,withdraws,cut_depth,note"
GOOD = "1,1,first,burette,10.1,cc,2024-01-01T10:00:00,,2.5,\n"

SPOILED = {
    "no heading": GOOD,
    "another heading": "a,b,c\n" + GOOD,
    "bars": f"{HEADING}\n{GOOD}".replace(",", "|"),
    "decimal commas and points": f"{HEADING}\n{GOOD}".replace(",", ";").replace("10.1", "10,1"),
    "decimal comma": f"{HEADING}\n1,1,first,burette,10,1,cc,2024-01-01,,2.5,\n",
    "too few columns": f"{HEADING}\n1,1,first,burette\n",
    "too many columns": f"{HEADING}\n{GOOD[:-1]},more,and,more\n",
    "value a word": f"{HEADING}\n1,1,first,burette,much,cc,2024,,2.5,\n",
    "value nan": f"{HEADING}\n1,1,first,burette,nan,cc,2024,,2.5,\n",
    "value inf": f"{HEADING}\n1,1,first,burette,inf,cc,2024,,2.5,\n",
    "value minus inf": f"{HEADING}\n1,1,first,burette,-inf,cc,2024,,2.5,\n",
    "value negative": f"{HEADING}\n1,1,first,burette,-10.1,cc,2024,,2.5,\n",
    "value empty": f"{HEADING}\n1,1,first,burette,,cc,2024,,2.5,\n",
    "value hexadecimal": f"{HEADING}\n1,1,first,burette,0xA,cc,2024,,2.5,\n",
    "value with a unit": f"{HEADING}\n1,1,first,burette,10.1 cc,cc,2024,,2.5,\n",
    "unit wrong": f"{HEADING}\n1,1,first,burette,10.1,ml,2024,,2.5,\n",
    "method unknown": f"{HEADING}\n1,1,first,guess,10.1,cc,2024,,2.5,\n",
    "after unknown": f"{HEADING}\n1,1,second,burette,10.1,cc,2024,,2.5,\n",
    "number zero": f"{HEADING}\n0,1,first,burette,10.1,cc,2024,,2.5,\n",
    "number twice": f"{HEADING}\n{GOOD}{GOOD}",
    "number of 400 digits": f"{HEADING}\n{'9' * 400},1,first,burette,10.1,cc,2024,,2.5,\n",
    "piston zero": f"{HEADING}\n1,0,first,burette,10.1,cc,2024,,2.5,\n",
    "piston a fraction": f"{HEADING}\n1,1.5,first,burette,10.1,cc,2024,,2.5,\n",
    "piston in other digits": f"{HEADING}\n1,１,first,burette,10.1,cc,2024,,2.5,\n",
    "cut depth a word": f"{HEADING}\n1,1,first,burette,10.1,cc,2024,,deep,\n",
    "cut depth nan": f"{HEADING}\n1,1,first,burette,10.1,cc,2024,,nan,\n",
    "withdraws nothing": f"{HEADING}\n1,1,first,withdrawn,,,2024,7,,\n",
    "withdraws itself": f"{HEADING}\n1,1,first,withdrawn,,,2024,1,,\n",
    "withdraws another piston's": f"{HEADING}\n{GOOD}2,2,first,withdrawn,,,2024,1,,\n",
    "a formula": f"{HEADING}\n=1+1,1,first,burette,10.1,cc,2024,,2.5,\n",
    "a picture": "\x89PNG\r\n\x1a\n" + "\x7f" * 3000 + "\n",
    "a line of 140 000 letters": "x" * 140_000 + "\n",
    "a cell of 140 000 letters": f"{HEADING}\n1,1,first,burette,10.1,cc,2024,,2.5,{'x' * 140_000}\n",
    "20 000 faulty lines": HEADING + "\n" + "x\n" * 20_000,
}


@pytest.mark.parametrize("text", SPOILED.values(), ids=SPOILED)
def test_spoiled(text, tmp_path, refused):
    job, readings = tmp_path / "job.toml", tmp_path / "job-readings.csv"
    job.write_text(job_text(), encoding="utf-8")
    readings.write_bytes(text.encode("utf-8"))
    for command in (("pistons", job), ("check", job, "--piston", "1", "--stage", "last")):
        answer = refused(*command, exit_code=2)
        assert all(line.startswith("job-readings.csv") for line in answer.err.splitlines())
        assert "line" in answer.err
        assert len(answer.err) < 50_000
    refused("reading", job, "--piston", "1", "10.5", "--sure", exit_code=2)


def test_a_folder_in_place_of_the_readings(tmp_path, refused):
    job = tmp_path / "job.toml"
    job.write_text(job_text(), encoding="utf-8")
    (tmp_path / "job-readings.csv").mkdir()
    answer = refused("pistons", job, exit_code=2)
    assert answer.err.startswith("job-readings.csv: cannot be read")


VALUES = (
    "nan",
    "inf",
    "-inf",
    "-1",
    "0",
    "1e9",
    "ten",
    "",
    "10,1",
    "0x10",
    "１０.1",
    "10.1 cc",
    "1_0.1",
    "true",
)


@pytest.mark.parametrize("value", VALUES)
def test_values_that_are_no_reading(value, tmp_path, refused):
    job = tmp_path / "job.toml"
    job.write_text(job_text(), encoding="utf-8")
    refused("reading", job, "--piston", "1", "--after", "first", "--", value, exit_code=2)


@pytest.mark.parametrize("value", ["nan mm", "-3", "three", "1e400", "0", "3 furlong"])
@pytest.mark.parametrize("option", ["--depth", "--mouth"])
def test_lengths_that_are_no_reading(option, value, tmp_path, refused):
    job = tmp_path / "job.toml"
    job.write_text(job_text(), encoding="utf-8")
    refused("reading", job, "--piston", "1", "--after", "first", f"{option}={value}", exit_code=2)


@pytest.mark.parametrize(
    "arguments",
    [("--piston", "3", "10.5"), ("--piston", "0", "10.5"), ("--piston", "1"), ("--piston", "1", "--undo")],
    ids=["piston 3 of 2", "piston 0", "no value", "nothing to undo"],
)
def test_readings_of_nothing(arguments, tmp_path, refused):
    job = tmp_path / "job.toml"
    job.write_text(job_text(), encoding="utf-8")
    refused("reading", job, *arguments, exit_code=2)


def test_a_note_cannot_become_a_line_or_a_formula(run, tmp_path):
    job, readings = tmp_path / "job.toml", tmp_path / "job-readings.csv"
    job.write_text(job_text(), encoding="utf-8")
    note = '=HYPERLINK("x")\n9,2,first,burette,99,cc,,,,\r\x1b[2J,"'
    answer = run("reading", job, "--piston", "1", "--after", "as-received", "--sure", "9.3", "--note", note)
    assert answer.exit_code == 0, answer.err
    lines = readings.read_text(encoding="utf-8").split("\n")
    assert len(lines) == 3
    assert lines[2] == ""
    assert "\x1b" not in lines[1]
    assert ",=" not in lines[1]
    assert ',"=' not in lines[1]
