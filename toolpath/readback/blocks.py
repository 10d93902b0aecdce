"""The words of one block, sorted: G and M words by modal group, the others by letter."""

from dataclasses import dataclass, field

from toolpath.readback.dialects import ADDRESSES, WordTable, word_name
from toolpath.readback.motions import BrokenRule
from toolpath.readback.tokens import Word

_NEEDS_POINT = frozenset("XZIKF")


@dataclass(slots=True)
class Faults:
    """The faults of a program so far, and the block that is being read."""

    found: list[BrokenRule] = field(default_factory=list)
    line: int = 0
    block: str = ""
    _told: set[str] = field(default_factory=set)

    def add(self, why: str, once: str = "") -> None:
        """Note a fault of this block; one with a name is told once a program."""
        if once in self._told:
            return
        if once:
            self._told.add(once)
        self.found.append(BrokenRule(self.line, self.block, why))


class Blocks:
    """Sorts the words of blocks; what a dialect does not have is a fault."""

    def __init__(self, rules: WordTable, faults: Faults) -> None:
        self.rules, self.fault, self.letters = rules, faults.add, rules.letters

    def without_numbers(self, words: list[Word], *, moved: bool) -> list[Word]:
        """Take off the block number and the program number."""
        if words[0].letter in "Nn":
            if not words[0].number.isdigit() or len(words[0].number) > 5:
                self.fault("a block number is at most five digits without sign or point")
            words = words[1:]
        if words and words[0].letter == "O" and self.rules.program_number:
            if not words[0].number.isdigit() or len(words) > 1 or moved:
                self.fault("a program number is digits alone, on a line before the first motion")
            words = words[1:]
        return words

    def sorted_words(self, words: list[Word]) -> tuple[dict[str, str], dict[str, float]]:
        """G and M words by group, the others by letter; each word is checked by itself."""
        codes: dict[str, str] = {}
        values: dict[str, float] = {}
        for word in words:
            letter = word.letter
            if letter.islower():
                if self.rules.upper_case:
                    self.fault(f"the letter {letter} is small; {self.rules.name} words are capitals")
                letter = letter.upper()
            if letter in "GM":
                self.sort_code(letter, word, codes)
                continue
            if letter not in self.letters:
                self.fault(f"the word {letter}{word.number} is refused: {self.reason(letter)}")
                continue
            if letter in values:
                self.fault(f"the letter {letter} stands twice; keep one")
            if letter in _NEEDS_POINT and "." not in word.number:
                self.fault(f"{letter}{word.number} has no decimal point; write {letter}{word.number}.")
            values[letter] = word.value
        return codes, values

    def reason(self, letter: str) -> str:
        if letter == "N":
            return "a block number stands first on its line"
        if letter == "O":
            return "a program number stands alone" if self.rules.program_number else "no program number here"
        return ADDRESSES.get(letter, "this reader does not know it")

    def sort_code(self, letter: str, word: Word, codes: dict[str, str]) -> None:
        """Put one G or M word into its group."""
        name = word_name(letter, word.value)
        name = name if name is None else self.rules.own.get(name, name)
        group = None if name is None else self.rules.groups.get(name)
        if name is None or group is None:
            why = "" if name is None else self.rules.refused.get(name, "")
            why = why or f"{self.rules.name} programs here have no such word"
            self.fault(f"{letter}{word.number} is refused: {why}")
            return
        if group in codes:
            self.fault(f"two words of one group ({group}) stand in one block; keep one of them")
        codes[group] = name
