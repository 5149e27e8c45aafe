"""A check takes a limit only through the user's limits, never the default beside it."""

import ast
from pathlib import Path

import numpy as np
import pytest
from engine_pulls import Sweep, engine_pull, steady

from analysis import checks
from analysis.checks import CHECKS, DEFAULT_LIMITS, run_checks
from analysis.checks.boost_tracking import tracking, undisturbed
from analysis.checks.check import Check, Context, title_of
from analysis.model import oil_pressure, shared_limits
from analysis.model.findings import COVERAGE, Severity
from analysis.model.limits import Limits
from analysis.model.setup import Air, Car, Setup
from analysis.phrases.table import sentence
from decode.quantities import Quantity
from decode.samples import FloatArray

TURBO = Context(setup=Setup(car=Car(boosted=True, cylinders=4), air=Air(98.0, 20.0, 50.0)))
MODULES = [
    *sorted(Path(checks.__file__).parent.glob("*.py")),
    Path(shared_limits.__file__),
    Path(oil_pressure.__file__),
]


def changed(name: str, value: float) -> Limits:
    return Limits.of(DEFAULT_LIMITS, {name: value}, "limits file")


def flap_at_rest(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
    """Fully open in the hold before the sweep, then at rest at 85 % of that, then a lift."""
    return np.select([time_s < 2.5, time_s < 13.05], [88.0, 0.85 * 88.0], 3.0)


def test_boost_is_judged_where_the_throttle_is_open_by_the_users_limit() -> None:
    pull = engine_pull({"throttle": flap_at_rest})
    limits = changed("throttle.closed", 70.0)
    said = {f.check: f for f in run_checks(pull, limits, TURBO) if f.check in ("throttle", "boost")}
    assert said["throttle"].statements[0].key == "throttle-stayed-open-raw"
    assert said["boost"].statements[0].key == "boost-followed"
    boost, target = pull.first(Quantity.BOOST_PRESSURE), pull.first(Quantity.BOOST_TARGET)
    assert boost is not None
    assert target is not None
    track = tracking(pull, boost, target, limits)
    assert track is not None
    assert len(undisturbed(pull, track, limits, TURBO).time_s) == len(track.time_s)


def test_a_flap_at_rest_is_closed_by_the_default() -> None:
    found = run_checks(
        engine_pull({"throttle": flap_at_rest}), Limits.of(DEFAULT_LIMITS, {}, ""), TURBO
    )
    throttle = next(f for f in found if f.check == "throttle")
    assert (throttle.severity, throttle.statements[0].key) == (
        Severity.LOOK_CLOSER,
        "throttle-closed",
    )


@pytest.mark.parametrize(
    ("event_deg", "key"), [(3.0, "ignition-fixed"), (10.0, "ignition-all-cylinders")]
)
def test_retard_that_never_moves_is_judged_by_the_users_limit(event_deg: float, key: str) -> None:
    retard = {f"retard_{n}": steady(4.0) for n in range(1, 5)}
    pull = engine_pull(retard, sweep=Sweep(noise={}))
    found = run_checks(pull, changed("ignition.knock_event", event_deg), TURBO)
    (first, *_) = (f for f in found if f.check == "ignition")
    assert first.statements[0].key == key


def limits_named_in(tree: ast.Module) -> set[str]:
    """Names of module constants that are limits: made here, or taken from another check."""
    made = {
        target.id
        for node in tree.body
        if isinstance(node, (ast.Assign, ast.AnnAssign))
        and isinstance(node.value, ast.Call)
        and isinstance(node.value.func, ast.Name)
        and node.value.func.id == "Limit"
        for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
        if isinstance(target, ast.Name)
    }
    taken = {
        alias.asname or alias.name
        for node in tree.body
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("analysis.checks.")
        for alias in node.names
        if alias.name.isupper()
    }
    return made | taken


def test_the_modules_that_make_limits_are_found() -> None:
    made = [limits_named_in(ast.parse(module.read_text("utf-8"))) for module in MODULES]
    assert sum(len(names) for names in made) >= len(DEFAULT_LIMITS)


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.stem)
def test_no_check_reads_the_default_of_a_limit(module: Path) -> None:
    tree = ast.parse(module.read_text("utf-8"))
    limits = limits_named_in(tree)
    read = [
        f"{node.value.id}.value in line {node.lineno}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute)
        and node.attr == "value"
        and isinstance(node.value, ast.Name)
        and node.value.id in limits
    ]
    assert read == []


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.name)
def test_every_check_has_its_title_as_a_phrase(check: Check) -> None:
    title = title_of(check.name)
    assert title.key == f"check-{check.name.replace('_', '-')}"
    assert sentence(title, language="de")


def test_what_was_judged_has_its_title_as_a_phrase() -> None:
    assert title_of(COVERAGE).text == "What was judged"
