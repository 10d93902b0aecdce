"""Every command says one real example in its help."""

import shlex

import pytest
from click.testing import CliRunner

from toolpath.cli.main import main


@pytest.mark.parametrize("name", sorted(main.commands))
def test_help_shows_an_example_that_the_command_takes(name: str) -> None:
    shown = CliRunner().invoke(main, [name, "--help"]).output
    assert "Example: dishpath " in shown
    words = shlex.split(" ".join(shown.split("Example: ")[1].split("Options:")[0].split()).split(" > ")[0])
    assert words[:2] == ["dishpath", name]
    command = main.commands[name]
    command.make_context(name, words[2:])  # raises where an option or argument is not there
