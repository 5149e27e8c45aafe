"""For whom something is written: in which units, in which language."""

from collections.abc import Iterable
from dataclasses import dataclass

from analysis.phrases.printing import with_decimal_sign
from analysis.phrases.statement import Statement
from analysis.phrases.table import ENGLISH, STYLES, Language, phrase, sentence
from analysis.phrases.units import HOUSE, Units


@dataclass(frozen=True, slots=True)
class Reader:
    """What a reader has chosen."""

    units: Units = HOUSE
    language: Language = ENGLISH

    def phrase(self, key: str, **variables: str | int) -> str:
        """A phrase that is no statement: a title, a label. Raises PhraseError for no such key."""
        named = {name.replace("_", "-"): value for name, value in variables.items()}
        return phrase(key, named, self.language)

    def text(self, statements: Statement | Iterable[Statement] | None) -> str:
        """One statement or several, one after the other; empty for none."""
        if statements is None:
            return ""
        if isinstance(statements, Statement):
            return sentence(statements, self.units, self.language)
        return " ".join(sentence(each, self.units, self.language) for each in statements)

    def number(self, printed: str) -> str:
        """A number that was printed in English, without grouping, as the reader writes it."""
        return with_decimal_sign(printed, STYLES[self.language])


HOUSE_READER = Reader()
