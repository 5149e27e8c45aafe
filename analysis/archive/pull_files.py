"""A pull's samples as one Parquet file: a long table that any tool can read.

Columns: channel (its name), time_s and value. What a pull is beside its samples (number, bounds,
channels with unit and quantity) stands as JSON in the schema's metadata. Doubles pass through
untouched, so that what is read is bit for bit what was written.
"""

import hashlib
import json
import os
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any, Final

import numpy as np
from pydantic import TypeAdapter, ValidationError

from analysis.archive.jobs import StoreError
from analysis.archive.migrations.layout_6_statements import bounds_of_statements
from analysis.model.pull import Pull, PullBounds
from decode.on_first_use import on_first_use
from decode.samples import Channel, FloatArray, Samples

pa = on_first_use("pyarrow")  # a list of pulls reads no pull
pq = on_first_use("pyarrow.parquet")

# Files are evidence and are never rewritten: the head of an earlier form goes through these when it
# is read. HEAD_STEPS[0] leads from form 1 to 2, and so on.
HEAD_STEPS: Final[tuple[Callable[[dict[str, Any]], dict[str, Any]], ...]] = (
    lambda head: {**head, "bounds": bounds_of_statements(head["bounds"])},
)
_HEAD_KEY: Final = b"pullwatch_pull"
_CHANNELS: Final = TypeAdapter(tuple[Channel, ...])
BOUNDS: Final = TypeAdapter(PullBounds)


def write_pull(path: Path, pull: Pull) -> str:
    """Write the pull so that after a crash the file is whole or absent; return its SHA-256."""
    data = _to_parquet(pull)
    unfinished = path.with_suffix(".unfinished")
    with unfinished.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    unfinished.replace(path)
    return hashlib.sha256(data).hexdigest()


def read_pull(path: Path, sha256: str) -> Pull:
    """The pull as it was written.

    Raises StoreError where the file is gone, is not what was written, or is no pull at all.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise StoreError(f"{path}: the pull's samples cannot be read: {error}") from error
    if hashlib.sha256(data).hexdigest() != sha256:
        raise StoreError(f"{path}: the pull's samples are not what was stored (SHA-256 differs)")
    try:
        return _from_parquet(data)
    except (pa.ArrowException, ValidationError, KeyError, ValueError) as error:
        raise StoreError(f"{path}: not a pull: {error}") from error


def _to_parquet(pull: Pull) -> bytes:
    names = list(pull.channels)
    lengths = [len(pull.samples[name]) for name in names]
    head = {
        "version": 1 + len(HEAD_STEPS),
        "number": pull.number,
        "bounds": BOUNDS.dump_python(pull.bounds, mode="json"),
        "channels": _CHANNELS.dump_python(tuple(pull.channels.values()), mode="json"),
        "lengths": lengths,
    }
    codes = np.repeat(np.arange(len(names), dtype=np.int32), lengths)
    table = pa.table(
        {
            "channel": pa.DictionaryArray.from_arrays(codes, pa.array(names, pa.string())),
            "time_s": _column([pull.samples[name].time_s for name in names]),
            "value": _column([pull.samples[name].value for name in names]),
        }
    ).replace_schema_metadata({_HEAD_KEY: json.dumps(head).encode()})
    sink = BytesIO()
    # A dictionary of doubles only costs time: measured values hardly ever repeat.
    pq.write_table(table, sink, compression="zstd", use_dictionary=["channel"])
    return sink.getvalue()


def _column(arrays: list[FloatArray]) -> Any:
    return pa.array(np.concatenate([np.empty(0), *arrays]), pa.float64())


def _from_parquet(data: bytes) -> Pull:
    table = pq.read_table(BytesIO(data))
    head: dict[str, Any] = json.loads((table.schema.metadata or {})[_HEAD_KEY])
    form, known = int(head["version"]), 1 + len(HEAD_STEPS)
    if form > known:
        raise ValueError(f"a newer pullwatch wrote it: form {form}, this one reads up to {known}")
    for step in HEAD_STEPS[form - 1 :]:
        head = step(head)
    channels = _CHANNELS.validate_python(head["channels"])
    ends = np.cumsum(head["lengths"])[:-1]
    times = np.split(table["time_s"].to_numpy(), ends)
    values = np.split(table["value"].to_numpy(), ends)
    names = [channel.name for channel in channels]
    return Pull(
        number=head["number"],
        bounds=BOUNDS.validate_python(head["bounds"]),
        channels=dict(zip(names, channels, strict=True)),
        samples={
            name: Samples(time_s, value)
            for name, time_s, value in zip(names, times, values, strict=True)
        },
    )
