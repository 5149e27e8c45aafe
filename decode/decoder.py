"""Records into channels: the whole map at work over the sequence of batches of a session."""

from collections.abc import Sequence

import numpy as np

from decode.channel_map import ChannelMap
from decode.derived import DerivedChannels, Traced
from decode.field_groups import IntArray
from decode.records import Flag, RecordBatch, SessionInfo
from decode.samples import SampleBatch, Samples
from decode.source_decoders import source_decoder


class Decoder:
    """Decodes a session. The samples depend only on the sequence of its records.

    How the records are cut into batches changes nothing, so a recording decoded in large pieces
    gives, bit for bit, what was seen live.
    """

    def __init__(self, channel_map: ChannelMap, session: SessionInfo) -> None:
        self._derived = DerivedChannels(channel_map.derived())
        self._arrived = 0  # records so far, of all sources
        found = {
            info.name: source_decoder(channel_map, info, session.started_ns, self._derived.inputs)
            for info in session.sources
        }
        self._decoders = {name: decoder for name, decoder in found.items() if decoder is not None}
        self._inputs_of = {
            source: [n for n in self._derived.inputs if channel_map.entries[n].source == source]
            for source in self._decoders
        }

    @property
    def undecodable(self) -> dict[str, int]:
        """By source: how many records gave nothing but should have."""
        return {name: decoder.undecodable for name, decoder in self._decoders.items()}

    def decode(self, batch: RecordBatch) -> SampleBatch:
        """The samples of the next batch of the session."""
        return self.decode_all((batch,))

    def decode_all(self, batches: Sequence[RecordBatch]) -> SampleBatch:
        """The samples of the next batches, as if decoded one by one and joined by channel."""
        by_source: dict[str, list[RecordBatch]] = {}
        firsts: dict[str, list[int]] = {}
        for batch in batches:
            by_source.setdefault(batch.source, []).append(batch)
            firsts.setdefault(batch.source, []).append(self._arrived)
            self._arrived += len(batch)
        samples: dict[str, Samples] = {}
        traced: dict[str, Traced] = {}
        gaps: dict[str, IntArray] = {}
        for source, parts in by_source.items():
            decoder = self._decoders.get(source)
            joined = RecordBatch.joined(parts)
            if decoder is None or not len(joined):
                continue
            decoded = decoder.decode(joined)
            samples.update(decoded.samples)
            if not self._inputs_of[source]:
                continue
            arrival = _arrival(firsts[source], [len(part) for part in parts])
            for name, record in decoded.record.items():
                traced[name] = Traced(decoded.samples[name], arrival[record])
            gap = arrival[(joined.flags & int(Flag.GAP)) != 0]
            if len(gap):
                gaps.update(dict.fromkeys(self._inputs_of[source], gap))
        samples.update(self._derived.evaluate(traced, gaps))
        return samples


def _arrival(firsts: Sequence[int], lengths: Sequence[int]) -> IntArray:
    """The numbers of the records of several batches, each batch's counted from its first."""
    before = np.cumsum(lengths) - lengths
    return np.arange(sum(lengths)) + np.repeat(np.asarray(firsts) - before, lengths)
