"""Derived channels: formulas over channels that come at different times and from different sources.

A formula is evaluated at every sample of the first channel it names, with the last values of the
others that had arrived by then. "Arrived" is counted in records over the whole session, so the
result depends neither on how records are cut into batches nor on clocks.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.field_groups import IntArray
from decode.formulas import Formula
from decode.samples import FloatArray, Samples

# a value held longer than this says nothing of now; slow channels (air pressure) come every second
HOLD_LIMIT_S: Final = 10.0
_NO_GAP: Final[IntArray] = np.zeros(0, dtype=np.int64)


@dataclass(frozen=True, slots=True)
class Traced:
    """Samples with the number of the record each came with, counted over the session."""

    samples: Samples
    arrival: IntArray


class DerivedChannels:
    """The formulas of a map, in the order they can be evaluated, and the values they hold."""

    def __init__(self, formulas: Iterable[tuple[str, Formula]]) -> None:
        self._formulas = list(formulas)
        self.inputs = frozenset(name for _, formula in self._formulas for name in formula.names)
        self._last: dict[str, Traced] = {}

    def evaluate(
        self, traced: Mapping[str, Traced], gaps: Mapping[str, IntArray]
    ) -> dict[str, Samples]:
        """What the new samples of the inputs give.

        gaps: per input, the records before which its source had been away: what it held before
        holds no more.
        """
        known, gaps = dict(traced), dict(gaps)
        results: dict[str, Samples] = {}
        for name, formula in self._formulas:
            first = known.get(formula.names[0])
            if first is not None and (result := self._one(formula, first, known, gaps)):
                known[name] = result
                results[name] = result.samples
            if formula.names[0] in gaps:  # it ceased with the channel that times it
                gaps[name] = gaps[formula.names[0]]
        for name in self.inputs:
            self._hold(name, known.get(name), gaps.get(name, _NO_GAP))
        return results

    def _hold(self, name: str, latest: Traced | None, gap: IntArray) -> None:
        """Keep the last value of an input, or that it is lost."""
        if latest is not None:
            time_s, value = latest.samples.time_s[-1:].copy(), latest.samples.value[-1:].copy()
            self._last[name] = Traced(Samples(time_s, value), latest.arrival[-1:].copy())
        last = self._last.get(name)
        if last is not None and len(gap) and last.arrival[-1] < gap[-1]:
            lost = Samples(last.samples.time_s, np.full(1, np.nan))
            self._last[name] = Traced(lost, gap[-1:])

    def _one(
        self,
        formula: Formula,
        first: Traced,
        known: Mapping[str, Traced],
        gaps: Mapping[str, IntArray],
    ) -> Traced | None:
        values = {formula.names[0]: first.samples.value}
        seen = np.ones(len(first.arrival), dtype=bool)
        for name in formula.names[1:]:
            history = self._history(name, known)
            if history is None:
                return None
            held, has_come = _held(history, first, gaps.get(name, _NO_GAP))
            values[name] = held
            seen &= has_come
        if not seen.any():
            return None
        result = formula({name: value[seen] for name, value in values.items()})
        samples = Samples(first.samples.time_s[seen], result)
        return Traced(samples, first.arrival[seen])

    def _history(self, name: str, known: Mapping[str, Traced]) -> Traced | None:
        """What an input held before, and its new samples."""
        before, now = self._last.get(name), known.get(name)
        if before is None or now is None:
            return now or before
        return Traced(
            Samples(
                np.concatenate((before.samples.time_s, now.samples.time_s)),
                np.concatenate((before.samples.value, now.samples.value)),
            ),
            np.concatenate((before.arrival, now.arrival)),
        )


def _held(history: Traced, at: Traced, gap: IntArray) -> tuple[FloatArray, NDArray[np.bool_]]:
    """The last value that had arrived at each sample of `at`, and where there was one at all."""
    place = np.searchsorted(history.arrival, at.arrival, side="right") - 1
    has_come = place >= 0
    held = history.samples.value[place]
    age_s = at.samples.time_s - history.samples.time_s[place]
    held = np.where(age_s <= HOLD_LIMIT_S, held, np.nan)
    if len(gap):
        newest_gap = np.searchsorted(gap, at.arrival, side="right") - 1
        lost = (newest_gap >= 0) & (history.arrival[place] < gap[newest_gap])
        held = np.where(lost, np.nan, held)
    return held, has_come
