"""CAN network descriptions (whatever cantools reads: DBC, KCD, ARXML, SYM) into a channel map.

Comments, units, enumerations and multiplexing are kept. What a channel means (its quantity) is not
in such a file: the user adds it to the channels that matter. cantools is imported only here, where
it is needed: it is slow to load and not part of a plain installation.
"""

import keyword
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

from decode.bit_fields import CLASSIC_BYTES, WORD_BITS, BitField
from decode.channel_map import DESCRIPTION_SUFFIXES
from decode.errors import InputFileError, Problem, PullwatchError
from decode.field_groups import SELECTOR_BITS
from decode.map_can import FD_BYTES
from decode.map_draft import Entry, MapDraft
from decode.records import LARGEST_IDENTIFIER

# SAE J1939-21: in the 29-bit identifier the priority is on top, the sender at the bottom; below
# parameter group 0xF000 the byte above the sender is the receiver
J1939_BROADCAST: Final = 0x03FFFF00
J1939_ADDRESSED: Final = 0x03FF0000
J1939_FIRST_BROADCAST_FORMAT: Final = 240
# SAE J1939-71: of a byte's values 0xFB to 0xFF say that there is no value, and so do those of the
# highest byte of a longer number
J1939_HIGHEST_BYTE: Final = 0xFA
J1939_HIGHEST_OF_TWO_BITS: Final = 1  # 2 is an error, 3 not available
_POSITION: Final = re.compile(r"line (\d+)(?:, column (\d+))?")


@dataclass(frozen=True)
class Network:
    """A description as channel entries, in the words of the map.

    comments: of each message, by the name of its first channel. signals: what the description
    calls each channel. skipped: what no map can hold, and why.
    """

    entries: Mapping[str, Entry]
    comments: Mapping[str, str]
    signals: Mapping[str, str]
    skipped: tuple[str, ...]


def read_network(path: Path, source: str) -> Network:
    """Raises InputFileError where cantools refuses the file, with what it found."""
    database = _load(path)
    entries: dict[str, Entry] = {}
    comments: dict[str, str] = {}
    signals: dict[str, str] = {}
    skipped: list[str] = []
    names = _Names()
    for message in database.messages:
        first = True
        pages: dict[str, Entry] = {}
        for signal in message.signals:
            reason = _why_not(message, signal)
            if reason:
                skipped.append(f"{message.name}.{signal.name}: {reason}")
                continue
            entry = _entry(message, signal, source)
            known = pages.setdefault(_beside_page(signal, entry), entry)
            if known is not entry:
                _join(known["can"], entry["can"])
                continue
            name = names.unique(message.name, signal.name)
            entries[name] = entry
            signals[name] = signal.name
            if first:
                comments[name] = f"{message.name}: {message.comment or ''}".strip(": ")
                first = False
    return Network(entries, comments, signals, tuple(skipped))


def _load(path: Path) -> Any:
    try:
        import cantools
    except ImportError as error:
        raise PullwatchError(
            "reading network descriptions needs cantools: pip install cantools"
        ) from error
    if path.suffix.lower() not in DESCRIPTION_SUFFIXES:
        raise _refused(path, f"its name must end in one of {', '.join(DESCRIPTION_SUFFIXES)}")
    try:
        return cantools.database.load_file(path, strict=False)
    except OSError as error:
        raise _refused(path, f"cannot be read: {error.strerror}") from error
    except Exception as error:  # cantools lets errors of its parsers and of its own data out
        text = " ".join(str(error).split()) or type(error).__name__
        place = _POSITION.search(text)
        line, column = (int(place[1]), int(place[2] or 1)) if place else (1, 1)
        message = f"cantools refuses it: {text}; mend it there, or export it anew in another form"
        raise _refused(path, message, line, max(1, column)) from error


def _refused(path: Path, message: str, line: int = 1, column: int = 1) -> InputFileError:
    return InputFileError(path, [Problem(line, column, "network description", message)])


class _Names:
    """Channel names: words of formulas, each once."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def unique(self, message: str, signal: str) -> str:
        name = re.sub(r"\W", "_", f"{message}_{signal}", flags=re.ASCII)
        if not name or name[0].isdigit() or keyword.iskeyword(name):
            name = f"_{name}"
        number, candidate = 2, name
        while candidate in self._taken:
            candidate = f"{name}_{number}"
            number += 1
        self._taken.add(candidate)
        return candidate


def _why_not(message: Any, signal: Any) -> str:
    if not 1 <= signal.length <= WORD_BITS:
        return f"has {signal.length} bits; a channel has 1 to {WORD_BITS}"
    if signal.is_float and signal.length not in (32, 64):
        return f"is a float of {signal.length} bits; allowed: 32 or 64"
    longest = CLASSIC_BYTES if message.protocol == "j1939" and not message.is_fd else FD_BYTES
    if _field(signal).end_byte > longest:
        return f"lies behind byte {longest - 1}, in a message of several frames"
    if not hasattr(signal.conversion, "scale"):
        return "is converted by more than a scale and an offset"
    for selector in _selectors(message, signal):
        if selector.length > SELECTOR_BITS:
            return f"its multiplexer {selector.name} has more than {SELECTOR_BITS} bits"
        if not selector.is_multiplexer:
            return f"depends on {selector.name}, which the description does not mark as multiplexer"
    return ""


def _field(signal: Any) -> BitField:
    return BitField(signal.start, signal.length, signal.byte_order == "big_endian")


def _selectors(message: Any, signal: Any) -> Iterator[Any]:
    """The multiplexer signals a signal depends on, from its own outwards."""
    while signal.multiplexer_ids is not None and signal.multiplexer_signal is not None:
        parent = message.get_signal_by_name(signal.multiplexer_signal)
        yield parent
        signal = parent


def _entry(message: Any, signal: Any, source: str) -> Entry:
    entry: Entry = {"source": source}
    if signal.unit:
        entry["unit"] = signal.unit
    entry["can"] = _can(message, signal)
    if signal.comment:
        entry["comment"] = signal.comment
    if signal.choices:
        entry["words"] = {int(value): str(word) for value, word in signal.choices.items()}
    return entry


def _can(message: Any, signal: Any) -> Entry:
    can: Entry = {"identifier": message.frame_id & LARGEST_IDENTIFIER}
    if message.is_extended_frame:
        can["extended"] = True
    if message.is_fd or _field(signal).end_byte > CLASSIC_BYTES:
        can["fd"] = True
    can |= _place(signal)
    if signal.is_float:
        can["kind"] = "float"
    elif signal.is_signed:
        can["signed"] = True
    if signal.scale != 1:
        can["scale"] = float(signal.scale)
    if signal.offset != 0:
        can["offset"] = float(signal.offset)
    if multiplexers := _multiplexers(message, signal):
        can["multiplexer"] = multiplexers
    if message.protocol == "j1939":
        can |= _j1939(message, signal)
    return can


def _place(signal: Any) -> Entry:
    place: Entry = {"start_bit": signal.start, "bits": signal.length}
    if signal.byte_order == "big_endian":
        place["byte_order"] = "big_endian"
    return place


def _multiplexers(message: Any, signal: Any) -> list[Entry]:
    """From the signal's own multiplexer outwards."""
    chain = [signal, *_selectors(message, signal)]
    return [
        {**_place(parent), "equals": [value % (1 << parent.length) for value in ids]}
        for child, parent in pairwise(chain)
        if (ids := sorted(child.multiplexer_ids))
    ]


def _beside_page(signal: Any, entry: Entry) -> str:
    """What is the same where one signal stands on several pages of a message, as SYM repeats it."""
    inner, *outer = entry["can"].get("multiplexer") or [{}]
    multiplexer = [{**inner, "equals": None}, *outer]
    return repr((signal.name, {**entry, "can": {**entry["can"], "multiplexer": multiplexer}}))


def _join(known: Entry, again: Entry) -> None:
    """The channel is on the pages of both."""
    if "multiplexer" in known:
        inner, also = known["multiplexer"][0], again["multiplexer"][0]
        inner["equals"] = sorted({*inner["equals"], *also["equals"]})


def _j1939(message: Any, signal: Any) -> Entry:
    """The parameter group alone names the message, and the top of a range says "no value"."""
    pdu_format = message.frame_id >> 16 & 0xFF
    broadcast = pdu_format >= J1939_FIRST_BROADCAST_FORMAT
    can: Entry = {"identifier_mask": J1939_BROADCAST if broadcast else J1939_ADDRESSED}
    if signal.is_float or signal.length == 1:
        return can
    if signal.length % 8 == 0:
        below = signal.length - 8
        can["highest_raw"] = (J1939_HIGHEST_BYTE << below) | ((1 << below) - 1)
    elif signal.length == 2:
        can["highest_raw"] = J1939_HIGHEST_OF_TWO_BITS
    else:
        can["not_available"] = [(1 << signal.length) - 1]
    return can


def draft_of(network: Network, title: str) -> MapDraft:
    """The channel map of a description; every name in it is the description's own."""
    return MapDraft(title, dict(network.entries), network.comments, network.skipped)


def map_text(network: Network, title: str) -> str:
    """The channel map of a description, without any quantity."""
    return draft_of(network, title).text()
