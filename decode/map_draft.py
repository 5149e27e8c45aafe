"""A channel map in the making: entries in the words of the map, and the text of the file."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from decode.naming import Proposal
from decode.units import AIR_FUEL_RATIO

Entry = dict[str, Any]
IN_HEX: Final = ("identifier", "identifier_mask", "highest_raw")


@dataclass(frozen=True)
class MapDraft:
    """entries: by channel. comments: stand above a channel. skipped: what the map cannot hold.

    doubts: by channel, what it may mean; written beside it for the user to decide.
    """

    title: str
    entries: Mapping[str, Entry]
    comments: Mapping[str, str] = field(default_factory=dict)
    skipped: tuple[str, ...] = ()
    doubts: Mapping[str, Proposal] = field(default_factory=dict)

    def meaning(self, proposals: Mapping[str, Proposal]) -> "MapDraft":
        """With the quantity of every sure proposal; the others become doubts."""
        taken = {name: p for name, p in proposals.items() if p.sure and p.unit}
        entries = {
            name: with_quantity(entry, taken[name]) if name in taken else entry
            for name, entry in self.entries.items()
        }
        doubts = {name: p for name, p in proposals.items() if name not in taken}
        return replace(self, entries=entries, doubts=doubts)

    def text(self) -> str:
        """The file."""
        lines = [f"# Taken from {self.title}. Add a quantity to each channel that means one.", ""]
        lines += [f"# not taken: {reason}" for reason in self.skipped]
        lines += ["pullwatch_map: 1", "channels:"]
        for name, entry in self.entries.items():
            if name in self.comments:
                lines += ["", *(f"  # {line}" for line in self.comments[name].splitlines())]
            if name in self.doubts:
                lines.append(f"  # {_question_comment(self.doubts[name])}")
            lines.append(f"  {name}: {_flow(entry)}")
        if not self.entries:
            lines[-1] += " {}"
        return "\n".join(lines) + "\n"


def with_quantity(entry: Entry, proposal: Proposal) -> Entry:
    """The entry with what it means in front, and its unit as the map spells it."""
    meaning: Entry = {"quantity": proposal.quantity.value}
    if proposal.cylinder is not None:
        meaning["cylinder"] = proposal.cylinder
    known = {**meaning, **entry, "unit": proposal.unit}
    if proposal.stoichiometric is not None:
        known["stoichiometric"] = proposal.stoichiometric
    return known


def _question_comment(proposal: Proposal) -> str:
    unit = "" if proposal.unit else "; say its unit"
    if proposal.unit == AIR_FUEL_RATIO:
        unit = f"; then unit: {AIR_FUEL_RATIO}, stoichiometric: the ratio it calls lambda 1"
    return f"may be {proposal.quantity} ({proposal.confidence:.2f}: {proposal.why}){unit}"


def _flow(value: Any) -> str:
    """One line of YAML: text in JSON's quotes, which YAML 1.2 reads alike."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k}: {_named(k, v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_flow(item) for item in value) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=not value.isprintable())
    return repr(value).lower() if isinstance(value, bool) else repr(value)


def _named(key: str | int, value: Any) -> str:
    return f"{value:#x}" if key in IN_HEX else _flow(value)
