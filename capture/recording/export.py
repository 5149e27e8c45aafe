"""Decoded channels into files that other programs read: CSV, Parquet, MDF4."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

import numpy as np
import pandas as pd

from decode.errors import PullwatchError
from decode.samples import Channel, SampleBatch, Samples

TIME_COLUMN: Final = "time [s]"


class ExportError(PullwatchError):
    """A file cannot be written; the text says which and why."""


def joined_table(samples: SampleBatch, channels: Mapping[str, Channel]) -> pd.DataFrame:
    """All channels beside one time column, in seconds of the session; nothing is interpolated.

    A row holds the samples that carry exactly its time, so most cells are empty. Where a channel
    has several samples at one time, the time has as many rows.
    """
    columns = [_indexed(name, samples[name], channels) for name in channels if name in samples]
    if not columns:
        return pd.DataFrame({TIME_COLUMN: np.empty(0)})
    joined = pd.concat(columns, axis=1).sort_index()
    return joined.reset_index(level=1, drop=True).rename_axis(TIME_COLUMN).reset_index()


def _indexed(name: str, samples: Samples, channels: Mapping[str, Channel]) -> "pd.Series[float]":
    """The values by time and by how often that time has come before in this channel."""
    time_s = pd.Series(samples.time_s)
    index = pd.MultiIndex.from_arrays([time_s, time_s.groupby(time_s).cumcount()])
    return pd.Series(samples.value, index, name=_heading(channels[name]))


def _heading(channel: Channel) -> str:
    return f"{channel.name} [{channel.unit}]" if channel.unit else channel.name


def export_csv(path: Path, samples: SampleBatch, channels: Mapping[str, Channel]) -> None:
    """Comma-separated UTF-8; times and values in full precision."""
    joined_table(samples, channels).to_csv(path, index=False)


def export_parquet(path: Path, samples: SampleBatch, channels: Mapping[str, Channel]) -> None:
    """The same table as the CSV, columnar."""
    joined_table(samples, channels).to_parquet(path, index=False)


def export_mdf4(path: Path, samples: SampleBatch, channels: Mapping[str, Channel]) -> None:
    """ASAM MDF 4.1, each channel on its own times; needs the optional package asammdf."""
    try:
        import asammdf  # costs 139 MB of memory, so only who exports pays
    except ImportError as error:
        raise ExportError(f"{path}: writing MDF4 needs the package asammdf") from error
    with asammdf.MDF(version="4.10") as mdf:
        for name, channel in channels.items():
            if name in samples and len(samples[name]):
                one = samples[name]
                signal = asammdf.Signal(one.value, one.time_s, name=name, unit=channel.unit)
                mdf.append(signal, acq_name=channel.source, comment="pullwatch")
        mdf.save(path, overwrite=True)


WRITERS: Final[dict[str, Callable[[Path, SampleBatch, Mapping[str, Channel]], None]]] = {
    ".csv": export_csv,
    ".parquet": export_parquet,
    ".mf4": export_mdf4,
}


def export(path: Path, samples: SampleBatch, channels: Mapping[str, Channel]) -> None:
    """Write the format of the file's suffix; ExportError where there is none or it fails."""
    writer = WRITERS.get(path.suffix.lower())
    if writer is None:
        raise ExportError(f"{path}: the suffix must be one of {', '.join(WRITERS)}")
    try:
        writer(path, samples, channels)
    except OSError as error:
        raise ExportError(f"{path} cannot be written: {error}") from error
