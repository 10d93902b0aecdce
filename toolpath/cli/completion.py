"""Completion in PowerShell; click brings that of the POSIX shells."""

import os

from click.shell_completion import CompletionItem, ShellComplete, add_completion_class

# about_Functions_Argument_Completion; a tool tip may not be empty, and no answer leaves file names to the shell
SOURCE = """\
Register-ArgumentCompleter -Native -CommandName %(prog_name)s -ScriptBlock {
    param($word, $line, $cursor)
    $text = $line.ToString()
    $length = [Math]::Min($cursor - $line.Extent.StartOffset, $text.Length)
    $env:COMP_LINE = $text.Substring(0, $length)
    $env:COMP_WORD = $word
    $env:%(complete_var)s = "powershell_complete"
    try {
        %(prog_name)s | Where-Object { $_ } | ForEach-Object {
            $value, $help = $_ -split "`t", 2
            [System.Management.Automation.CompletionResult]::new($value, $value, "ParameterValue", $help)
        }
    } finally {
        Remove-Item Env:COMP_LINE, Env:COMP_WORD, Env:%(complete_var)s
    }
}
"""


class _PowerShell(ShellComplete):
    name = "powershell"
    source_template = SOURCE

    def get_completion_args(self) -> tuple[list[str], str]:
        """The words before the one that is being typed, and that one."""
        word = os.environ.get("COMP_WORD", "")
        words = _words(os.environ.get("COMP_LINE", ""))[1:]
        return (words[:-1] if word and words else words), word

    def format_completion(self, item: CompletionItem) -> str:
        """A value and a tool tip; nothing for a file, which the shell completes itself."""
        return "" if item.type in ("file", "dir") else f"{item.value}\t{item.help or item.value}"


def _words(line: str) -> list[str]:
    """The words of a line; quotes hold one together, a backslash is a letter as in every path there."""
    words, quote, inside = [""], "", False
    for letter in line:
        if letter == quote:
            quote = ""
        elif not quote and letter in "'\"":
            quote, inside = letter, True
        elif letter.isspace() and not quote:
            if inside or words[-1]:
                words.append("")
            inside = False
        else:
            words[-1] += letter
    return words if inside or words[-1] else words[:-1]


def announce() -> None:
    """Let click know of it."""
    add_completion_class(_PowerShell)
