"""`pullwatch limits`: every limit, its default and where the number comes from."""

from collections.abc import Iterator
from itertools import groupby
from typing import Any, Final

from pydantic import TypeAdapter
from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from analysis.alerting.rules import RULES, Rule
from analysis.judging.limits_file import ALL_LIMITS
from analysis.model.limits import COMMON_PRACTICE, Engines, Limit
from analysis.phrases.say import say
from capture.commands.as_json import AsJson, print_document


def limits(as_json: AsJson = False) -> None:
    """List every limit a limits file can change, with its default and its origin."""
    if as_json:
        print_document({"limits": _LIMITS.dump_python(ALL_LIMITS), "alerts": [*_rules()]})
        return
    console = Console(markup=False, highlight=False)
    console.print(Text("Where no other origin stands: " + COMMON_PRACTICE + ".", style="dim"))
    for check, of_check in groupby(ALL_LIMITS, key=lambda limit: limit.name.split(".")[0]):
        console.print(Text(check.replace("_", " "), style="bold"))
        for limit in of_check:
            _print_limit(console, limit)
    console.print(Text("Live alerts", style="bold"))
    for rule in RULES:
        _print_rule(console, rule)


_LIMITS = TypeAdapter(tuple[Limit, ...])
NAME_WIDTH: Final = max(len(limit.name) for limit in ALL_LIMITS)


def _print_limit(console: Console, limit: Limit) -> None:
    """Its line of the table, whole at any width, and below it what it means."""
    unit = "" if limit.unit == "1" else limit.unit  # a bare number has none to print
    line = f"  {limit.name:<{NAME_WIDTH}} {limit.value:>8,g} {unit}".rstrip()
    console.print(Text(line), soft_wrap=True)
    meaning = [limit.meaning.rstrip(".")]
    meaning += [] if limit.engines is Engines.ANY else [f"engines: {limit.engines.value}"]
    meaning += ["live alert"] if _sounds(limit) else []
    _print_below(console, "; ".join(meaning))
    if limit.origin != COMMON_PRACTICE:
        _print_below(console, limit.origin, style="dim")


def _print_below(console: Console, said: str, style: str = "") -> None:
    console.print(Padding(Text(said, style=style), (0, 0, 0, 6), expand=False))


def _sounds(limit: Limit) -> bool:
    return any(limit.name in (rule.watch.name, rule.alarm.name) for rule in RULES)


def _print_rule(console: Console, rule: Rule) -> None:
    console.print(Text(f"  {say(rule.what).text}"))
    steps = [] if rule.watch is rule.alarm else [f"look closer: {rule.watch.name}"]
    for line in (*steps, f"stop: {rule.alarm.name}", "; ".join(_waits(rule))):
        _print_below(console, line)
    for word, said in (("if nobody acts", rule.consequence), ("at a stop", rule.action)):
        _print_below(console, f"{word}: {said}", style="dim")


def _waits(rule: Rule) -> Iterator[str]:
    """When it speaks, and for how long it waits."""
    yield rule.when.value
    if rule.engines is not Engines.ANY:
        yield f"engines: {rule.engines.value}"
    yield f"beyond for {rule.dwell_s:g} s" if rule.dwell_s else "two samples in a row"
    if rule.late_s and rule.target is None:
        yield f"after {rule.late_s:g} s of full load"
    elif rule.late_s:
        yield f"may come {rule.late_s:g} s behind its target"
    yield "stays until seen" if rule.latches else "a stop stays until seen"


def _rules() -> Iterator[dict[str, Any]]:
    for rule in RULES:
        yield {
            "kind": rule.kind.value,
            "quantity": rule.quantity.value,
            "watched": say(rule.what).text,
            "look_closer": rule.watch.name,
            "stop": rule.alarm.name,
            "engines": rule.engines.value,
            "when": rule.when.value,
            "dwell_s": rule.dwell_s,
            "late_s": rule.late_s,
            "latches": rule.latches,
            "consequence": rule.consequence,
            "action": rule.action,
        }
