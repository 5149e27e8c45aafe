"""Every key has its phrase in every language, and every phrase names what the statement has."""

import ast
import re
from collections.abc import Iterator
from enum import Enum
from functools import cache
from pathlib import Path

import pytest
from fluent.syntax import FluentParser
from fluent.syntax.ast import Junk, Message, VariableReference
from fluent.syntax.visitor import Visitor

from analysis.causes.symptoms import Symptom
from analysis.checks import CHECKS
from analysis.checks.fuel_goals import Basis
from analysis.model.events import AlertKind
from analysis.model.findings import Cause, Severity
from analysis.model.pull import EndReason
from analysis.model.setup import LossConvention
from analysis.phrases.say import key_of
from analysis.phrases.table import LANGUAGES
from analysis.power.figures import Measure
from analysis.power.tolerances import Influence, Origin
from analysis.readiness.readiness import Service
from decode.quantities import Quantity

PRODUCT = Path(__file__).parents[2]
ROOMS = ("analysis", "capture")
# Enumerations whose members are said by their own key (`word(member)`).
FAMILIES: tuple[type[Enum], ...] = (
    Quantity,
    AlertKind,
    Cause,
    EndReason,
    Severity,
    LossConvention,
    Service,
    Measure,
    Influence,
    Origin,
)
KEY = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)+")


class _Variables(Visitor):
    def __init__(self) -> None:
        self.names: set[str] = set()

    def visit_VariableReference(self, node: VariableReference) -> None:  # noqa: N802
        self.names.add(node.id.name)


@cache
def phrases(language: str) -> dict[str, frozenset[str]]:
    """Each key of a language's file and the variables that its phrase names."""
    path = PRODUCT / "analysis" / "phrases" / f"{language}.ftl"
    found: dict[str, frozenset[str]] = {}
    for entry in FluentParser().parse(path.read_text("utf-8")).body:
        assert not isinstance(entry, Junk), f"{path.name}: {entry.content}"
        if isinstance(entry, Message):
            assert entry.id.name not in found, f"{path.name}: {entry.id.name} stands twice"
            variables = _Variables()
            variables.visit(entry)
            found[entry.id.name] = frozenset(
                name.removesuffix("-number") for name in variables.names
            )
    return found


def composed() -> Iterator[str]:
    """Keys that are made of another and an ending, or of a check's name."""
    yield from (f"{key_of(cause)}-settled-by" for cause in Cause)
    yield from (f"{key_of(symptom)}-{seen}" for symptom in Symptom for seen in ("seen", "not-seen"))
    yield from (f"coverage-broken-off-{reason.value.replace('_', '-')}" for reason in EndReason)
    names = [check.name.replace("_", "-") for check in CHECKS]
    yield from (f"check-{name}" for name in (*names, "coverage", "engine-kind"))
    yield from (f"coverage-well-{name}" for name in names if name != "data-quality")
    yield from (f"fuel-{start}-{basis}" for start in ("held", "drooped") for basis in Basis)
    pairs = ("wheels-lag", "roller-lags", "speeds-part")
    yield from (f"drive-{start}{pair}" for pair in pairs for start in ("", "held-"))


@cache
def sources() -> tuple[tuple[Path, ast.Module], ...]:
    return tuple(
        (path, ast.parse(path.read_text("utf-8")))
        for room in ROOMS
        for path in sorted((PRODUCT / room).rglob("*.py"))
    )


def said() -> Iterator[tuple[str, str, frozenset[str] | None]]:
    """Every `say("key", name=...)`: where, key, names; None where names come as a mapping."""
    for path, tree in sources():
        for node in ast.walk(tree):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id != "say" or not isinstance(node.args[0], ast.Constant):
                continue
            names = [keyword.arg for keyword in node.keywords]
            known = None if None in names else frozenset(n.replace("_", "-") for n in names if n)
            yield f"{path.relative_to(PRODUCT)}:{node.lineno}", str(node.args[0].value), known


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_key_that_is_said_has_a_phrase(language: str) -> None:
    missing = {f"{where}: {key}" for where, key, _ in said() if key not in phrases(language)}
    assert not missing


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_phrase_names_no_amount_that_is_not_there(language: str) -> None:
    table = phrases(language)
    wrong = {
        f"{where}: {key} has no {', '.join(sorted(table[key] - names))}"
        for where, key, names in said()
        if names is not None and key in table and table[key] - names
    }
    assert not wrong


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.__name__)
def test_every_member_of_a_family_has_a_phrase(family: type[Enum], language: str) -> None:
    assert {key_of(member) for member in family} <= phrases(language).keys()


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_composed_key_has_a_phrase(language: str) -> None:
    assert set(composed()) <= phrases(language).keys()


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_phrase_is_left_that_nothing_says(language: str) -> None:
    """A key stands in the code as it is, or belongs to a family."""
    literals = {
        node.value
        for _, tree in sources()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    templates = "\n".join(
        path.read_text("utf-8")
        for suffix in ("*.html", "*.js")
        for path in (PRODUCT / "analysis" / "publish").rglob(suffix)
    )
    literals |= set(KEY.findall(templates)) | {m[0] for m in KEY.finditer(templates)}
    literals |= {key_of(member) for family in FAMILIES for member in family}
    literals |= set(composed())
    assert not {key for key in phrases(language) if key not in literals}


def test_the_languages_have_the_same_keys_with_the_same_variables() -> None:
    english, *others = (phrases(language) for language in LANGUAGES)
    for other in others:
        assert other.keys() == english.keys()
        assert {k for k in english if other[k] - english[k]} == set()
