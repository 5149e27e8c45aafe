"""The air of the bay as the session knows it: the newest reading, what was typed, the station file.

A weather station may speak once a minute, so that no reading of it falls into a pull: what it said
last holds until the next.
"""

from collections import deque
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

import numpy as np

from analysis.model.pull import finite
from analysis.model.setup import Air
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch

OLDEST_S: Final = 900.0  # weather an hour old is another weather (common practice, no source)
# One reading of each stretch is kept, so that it does not matter how samples come in batches.
KEPT_EVERY_S: Final = 5.0
MOST_KEPT: Final = 17_280  # of a day
FIELD_OF: Final = {
    Quantity.BAROMETRIC_PRESSURE: "barometric_kpa",
    Quantity.AMBIENT_TEMPERATURE: "temperature_degc",
    Quantity.RELATIVE_HUMIDITY: "relative_humidity_percent",
}
WORDS: Final = {
    "barometric_kpa": "pressure",
    "temperature_degc": "temperature",
    "relative_humidity_percent": "humidity",
}
TYPED: Final = "typed by the operator"
STATION_FILE: Final = "the station file"


def with_readings(air: Air, readings: Mapping[str, float]) -> Air:
    """The air with what was read, by the names of its fields, in place of what it had there."""
    return replace(air, **dict[str, Any](readings))


class SessionAir:
    """Fed with every batch, so feed() does as little as can be."""

    def __init__(self, channels: Mapping[str, Channel], given: Air) -> None:
        """given: of the station file."""
        self._given = given
        self._origin = dict.fromkeys(WORDS, given.origin or STATION_FILE)
        self._channels = {
            name: channel for name, channel in channels.items() if channel.quantity in FIELD_OF
        }
        self._kept: dict[str, deque[tuple[float, float]]] = {
            name: deque(maxlen=MOST_KEPT) for name in self._channels
        }

    def feed(self, samples: SampleBatch) -> None:
        """Take one batch."""
        for name, kept in self._kept.items():
            column = samples.get(name)
            if column is None or not len(column):
                continue
            if kept and column.time_s[-1] // KEPT_EVERY_S == kept[-1][0] // KEPT_EVERY_S:
                continue
            known = finite(column)
            _, first = np.unique(known.time_s // KEPT_EVERY_S, return_index=True)
            for index in first:
                time_s, value = float(known.time_s[index]), float(known.value[index])
                if not kept or time_s // KEPT_EVERY_S > kept[-1][0] // KEPT_EVERY_S:
                    kept.append((time_s, value))

    def type(self, said: Mapping[str, float]) -> None:
        """What the operator read off: fields of Air by their names; the rest stays."""
        self._given = with_readings(self._given, said)
        self._origin |= dict.fromkeys(said, TYPED)

    def at(self, now_s: float) -> Air:
        """The air now, its origin in words. A channel is believed before people, the first of the
        map before the others."""
        values: dict[str, float] = {
            field: value for field in WORDS if (value := getattr(self._given, field)) is not None
        }
        origin = {field: self._origin[field] for field in values}
        for name, channel in reversed(self._channels.items()):
            value = self._last(name, now_s)
            if value is not None and channel.quantity is not None:
                field = FIELD_OF[channel.quantity]
                values[field] = value
                origin[field] = f"measured by {channel.source}"
        return replace(with_readings(self._given, values), origin=_in_words(origin))

    def _last(self, name: str, now_s: float) -> float | None:
        """What the channel had said last by then; None where it has been silent for long."""
        said = next((one for one in reversed(self._kept[name]) if one[0] <= now_s), None)
        return None if said is None or now_s - said[0] > OLDEST_S else said[1]


def _in_words(origin: Mapping[str, str]) -> str:
    """`pressure, temperature: typed by the operator; humidity: measured by weather`."""
    fields_of: dict[str, list[str]] = {}
    for field, words in WORDS.items():
        if field in origin:
            fields_of.setdefault(origin[field], []).append(words)
    return "; ".join(f"{', '.join(fields)}: {source}" for source, fields in fields_of.items())
