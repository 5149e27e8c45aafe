"""Records into channels: the whole map at work over the sequence of batches of a session."""

from collections.abc import Sequence

from decode.channel_map import ChannelMap
from decode.derived import DerivedChannels, Traced
from decode.field_groups import IntArray
from decode.records import Flag, Piece, RecordBatch, SessionInfo
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
        return self.decode_piece(Piece.of(batches))

    def decode_piece(self, piece: Piece) -> SampleBatch:
        """The samples of the next piece of the session, by channel."""
        samples: dict[str, Samples] = {}
        traced: dict[str, Traced] = {}
        gaps: dict[str, IntArray] = {}
        for source, records in piece.by_source.items():
            decoder = self._decoders.get(source)
            if decoder is None or not len(records.batch):
                continue
            decoded = decoder.decode(records.batch)
            samples.update(decoded.samples)
            if not self._inputs_of[source]:
                continue
            arrival = records.place + self._arrived
            for name, record in decoded.record.items():
                traced[name] = Traced(decoded.samples[name], arrival[record])
            gap = arrival[(records.batch.flags & int(Flag.GAP)) != 0]
            if len(gap):
                gaps.update(dict.fromkeys(self._inputs_of[source], gap))
        self._arrived += piece.records
        samples.update(self._derived.evaluate(traced, gaps))
        return samples
