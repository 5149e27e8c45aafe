"""What was text becomes statements: a key with amounts. Of earlier ones only the text is known."""

from typing import Any

from analysis.archive.migrations.step import Rewrite, Step


def as_written(text: str) -> dict[str, Any]:
    """A statement that is only text."""
    names = [{"name": "text", "text": text}]
    return {"key": "as-written", "text": text, "amounts": [], "names": names, "parts": []}


def finding_of_statements(finding: dict[str, Any]) -> dict[str, Any]:
    """`statement` becomes `statements`; nothing that would settle it is null. The check that says
    what was not judged has another name."""
    if "statements" in finding:
        return finding
    rest = {name: value for name, value in finding.items() if name != "statement"}
    settled_by, check = finding["settled_by"], finding["check"]
    return {
        **rest,
        "check": "coverage" if check == "evidence" else check,
        "statements": [as_written(finding["statement"])],
        "settled_by": as_written(settled_by) if settled_by else None,
    }


def bounds_of_statements(bounds: dict[str, Any]) -> dict[str, Any]:
    """Every note becomes a statement."""
    return {**bounds, "notes": [_statement(note) for note in bounds["notes"]]}


def power_of_statements(power: dict[str, Any]) -> dict[str, Any]:
    """How the power was measured and corrected."""
    named = ("loss_statement", "method", "smoothing")
    return {
        **power,
        **{name: _statement(power[name]) for name in named},
        "correction": _correction(power["correction"]),
        "other_corrections": [_correction(other) for other in power["other_corrections"]],
        "cautions": [_statement(caution) for caution in power["cautions"]],
    }


def readiness_of_statements(readiness: dict[str, Any]) -> dict[str, Any]:
    """Reasons and items; what an item said is what was found."""
    return {
        **readiness,
        "reasons": [_statement(reason) for reason in readiness["reasons"]],
        "items": [_item(item) for item in readiness["items"]],
    }


def _item(item: dict[str, Any]) -> dict[str, Any]:
    if "found" in item:
        return item
    rest = {name: value for name, value in item.items() if name != "words"}
    return {**rest, "name": as_written(item["name"]), "found": as_written(item["words"])}


def _correction(correction: dict[str, Any]) -> dict[str, Any]:
    return {**correction, "statement": _statement(correction["statement"])}


def _statement(kept: Any) -> Any:
    return as_written(kept) if isinstance(kept, str) else kept


STEP = Step(
    rewrites=(
        Rewrite("findings", "finding", finding_of_statements),
        Rewrite("pulls", "bounds", bounds_of_statements),
        Rewrite("pulls", "power", power_of_statements),
        Rewrite("pulls", "readiness", readiness_of_statements),
        Rewrite("refused", "reason", as_written, read=str),
    )
)
