from hypothesis import given
from hypothesis import strategies as st

from decode.records import RecordBatch

PAYLOADS = st.lists(st.lists(st.binary(max_size=9), max_size=5), min_size=1, max_size=5)


@given(PAYLOADS)
def test_joined_batches_keep_every_record_in_order(batches: list[list[bytes]]) -> None:
    parts = [
        RecordBatch.of(
            "a", list(range(len(payloads))), payloads, [i] * len(payloads), dropped_before=i
        )
        for i, payloads in enumerate(batches)
    ]
    joined = RecordBatch.joined(parts)
    assert [joined.payload(i) for i in range(len(joined))] == [p for part in batches for p in part]
    assert joined.address.tolist() == [i for i, part in enumerate(batches) for _ in part]
    assert joined.dropped_before == sum(range(len(batches)))


def test_a_batch_cut_out_of_another_joins_too() -> None:
    whole = RecordBatch.of("a", [1, 2, 3], [b"abc", b"d", b"ef"])
    tail = RecordBatch(
        "a",
        whole.arrived_ns[1:],
        whole.adapter_ns[1:],
        whole.address[1:],
        whole.flags[1:],
        whole.data,
        whole.offsets[1:],
    )
    joined = RecordBatch.joined([tail, tail])
    assert [joined.payload(i) for i in range(4)] == [b"d", b"ef", b"d", b"ef"]
