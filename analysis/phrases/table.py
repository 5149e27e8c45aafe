"""Phrase tables: one Fluent file a language, read once; a statement becomes a sentence here.

A phrase sees of each amount `{ $name }` (number and unit as they are printed) and
`{ $name-number }` (the number alone); a whole number of things is also a number to select plurals
by. Names and parts are seen under their names.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any, Final, Literal

from fluent.runtime import FluentBundle, FluentResource

from analysis.phrases.printing import NumberStyle, printed
from analysis.phrases.statement import Amount, Joint, Statement
from analysis.phrases.units import HOUSE, Units

Language = Literal["en", "de"]
LANGUAGES: Final[tuple[Language, ...]] = ("en", "de")
ENGLISH: Final[Language] = "en"
STYLES: Final[dict[Language, NumberStyle]] = {
    "en": NumberStyle(thousands=",", decimal="."),
    "de": NumberStyle(thousands=".", decimal=","),
}
_SEPARATORS: Final = {Joint.COMMA: ", ", Joint.SEMICOLON: "; ", Joint.SENTENCES: " "}

Variables = Mapping[str, str | int]


class PhraseError(LookupError):
    """No phrase with this key, or one that asks for something the statement does not have."""


def sentence(statement: Statement, units: Units = HOUSE, language: Language = ENGLISH) -> str:
    """The statement as the user reads it.

    A statement whose phrase the table no longer has (it was kept by an older version) is given as
    it was written then.
    """
    if not has_phrase(statement.key, language):
        return statement.text
    return phrase(statement.key, _variables(statement, units, language), language)


def phrase(key: str, variables: Variables, language: Language = ENGLISH) -> str:
    """The phrase of a key with its variables in place.

    Raises PhraseError where the table has no such key or the phrase names another variable.
    """
    bundle = _bundle(language)
    if not bundle.has_message(key):
        raise PhraseError(f'no phrase "{key}" in {language}.ftl')
    pattern = bundle.get_message(key).value
    if pattern is None:
        raise PhraseError(f'phrase "{key}" in {language}.ftl is empty')
    made, errors = bundle.format_pattern(pattern, dict(variables))
    if errors:
        raise PhraseError(f'phrase "{key}" in {language}.ftl: {errors[0]}')
    return str(made).replace("\n", " ")  # a phrase may be broken into lines in its file


def has_phrase(key: str, language: Language = ENGLISH) -> bool:
    """Whether the language's table knows the key."""
    return bool(_bundle(language).has_message(key))


def joined(texts: Sequence[str], joint: Joint, language: Language = ENGLISH) -> str:
    """Texts as one: "a, b and c" or with the joint's separator."""
    if joint is not Joint.AND:
        return _SEPARATORS[joint].join(texts)
    if len(texts) < 2:
        return "".join(texts)
    rest = ", ".join(texts[:-1])
    return phrase("joint-and", {"rest": rest, "last": texts[-1]}, language)


def _variables(statement: Statement, units: Units, language: Language) -> Variables:
    variables: dict[str, str | int] = {name.name: name.text for name in statement.names}
    for amount in statement.amounts:
        variables |= _amount(amount, units, STYLES[language])
    for part in statement.parts:
        texts = [sentence(each, units, language) for each in part.statements]
        variables[part.name] = joined(texts, part.joint, language)
    return variables


def _amount(amount: Amount, units: Units, style: NumberStyle) -> Variables:
    number, with_unit = printed(amount, units, style)
    if amount.unit == "1" and not amount.decimals and not amount.signed:
        return {amount.name: round(amount.value), f"{amount.name}-number": number}
    return {amount.name: with_unit, f"{amount.name}-number": number}


@cache
def _bundle(language: Language) -> Any:
    bundle = FluentBundle([language], use_isolating=False)
    source = files("analysis.phrases").joinpath(f"{language}.ftl").read_text("utf-8")
    bundle.add_resource(FluentResource(source))
    return bundle
