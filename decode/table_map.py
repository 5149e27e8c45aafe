"""A table's columns as a channel map: each named for what it means, or for its header."""

import keyword
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from decode.map_draft import Entry, MapDraft
from decode.naming import Proposal, Seen, best_of, propose, unit_spelling

LONGEST_NAME: Final = 60  # characters of a channel's name; headers can be sentences
UNIT_IN_HEADER: Final = re.compile(r"[\[(][^\])]*[\])]")


@dataclass(frozen=True, slots=True)
class TableColumn:
    """header and unit: as in the table, "" where it names no unit. seen: its values' range."""

    header: str
    unit: str = ""
    seen: Seen | None = None


def table_draft(columns: Sequence[TableColumn], source: str, title: str) -> MapDraft:
    """Every column as a channel, without a quantity yet."""
    entries: dict[str, Entry] = {}
    for column in columns:
        entry: Entry = {"source": source}
        if column.unit:
            entry["unit"] = unit_spelling(column.unit) or column.unit
        entry["column"] = column.header
        entries[_channel_name(column.header, entries)] = entry
    return MapDraft(title, entries)


def table_proposals(columns: Sequence[TableColumn], channels: Sequence[str]) -> dict[str, Proposal]:
    """What each column may mean, by channel; channels: their names, in the columns' order."""
    return best_of(
        {
            channel: propose(column.header, column.unit, column.seen)
            for column, channel in zip(columns, channels, strict=True)
        }
    )


def _channel_name(header: str, taken: Mapping[str, object]) -> str:
    """The header without its unit, in the letters a channel's name may have, each name once."""
    bare = UNIT_IN_HEADER.sub(" ", header) if UNIT_IN_HEADER.sub("", header).strip() else header
    plain = unicodedata.normalize("NFKD", bare).encode("ascii", "ignore").decode()
    word = re.sub(r"[^0-9a-z]+", "_", plain.lower()).strip("_")[:LONGEST_NAME]
    if not word or not word[0].isalpha():
        word = f"column_{word}".rstrip("_")
    name, number = word, 2
    while name in taken or (keyword.iskeyword(name) and name != "lambda"):
        name, number = f"{word}_{number}", number + 1
    return name
