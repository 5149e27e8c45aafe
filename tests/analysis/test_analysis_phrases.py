import pytest

from analysis.phrases.say import amount, as_written, say
from analysis.phrases.statement import Amount, Name, Statement
from analysis.phrases.table import PhraseError, sentence
from analysis.phrases.units import Units


def test_a_statement_keeps_its_key_its_amounts_and_its_sentence() -> None:
    said = as_written("Looks well.")
    assert said.key == "as-written"
    assert said.names == (Name("text", "Looks well."),)
    assert str(said) == "Looks well."


def test_a_key_without_a_phrase_is_an_error() -> None:
    with pytest.raises(PhraseError, match="no-such-phrase"):
        say("no-such-phrase")


def test_a_phrase_that_names_what_is_not_there_is_an_error() -> None:
    with pytest.raises(PhraseError, match="as-written"):
        say("as-written", other="text")


def test_an_amount_without_a_unit_is_an_error() -> None:
    with pytest.raises(ValueError, match="no unit"):
        amount(3.0, "")


def test_a_statement_of_an_older_version_is_read_as_it_was_written() -> None:
    kept = Statement("phrase-of-old", "Boost was 0.5 bar.", (Amount("boost", 50.0, "kPa"),))
    assert sentence(kept, Units(pressure="psi"), "de") == "Boost was 0.5 bar."
