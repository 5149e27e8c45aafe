"""The times of a table: which columns hold them, and how their cells become seconds."""

import re
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

# Words of a header that is a time axis, in the languages loggers are sold in; compared without
# unit, number, case and underscores.
TIME_WORDS: Final = frozenset(
    {
        *("time", "t", "timestamp", "time stamp", "elapsed", "elapsed time", "relative time"),
        *("session time", "log time", "clock", "datetime", "date time", "seconds", "milliseconds"),
        *("zeit", "zeitstempel", "uhrzeit", "sekunden", "temps", "heure", "horodatage"),
        *("tiempo", "hora", "marca de tiempo", "tempo", "tid", "tidpunkt", "tijd", "czas", "čas"),
        *("aika", "zaman", "время", "时间", "時間"),
    }
)
SECONDS_PER: Final = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds", "sek", "sekunden"), 1.0),
    **dict.fromkeys(("ms", "msec", "millisecond", "milliseconds", "millisekunden"), 1e-3),
    **dict.fromkeys(("us", "µs", "μs", "usec", "microseconds"), 1e-6),
    **dict.fromkeys(("ns", "nanoseconds"), 1e-9),
    **dict.fromkeys(("min", "minutes"), 60.0),
    **dict.fromkeys(("h", "hr", "hours", "std", "stunden"), 3_600.0),
}
SUFFIX: Final = re.compile(r"(?P<name>.+?)[ _](?P<unit>s|sec|ms|us|ns)$")
DECORATION: Final = re.compile(r"\s*[\[(].*?[\])]\s*")
CLOCK: Final = re.compile(
    r"(?:\S+[ T])?(?:(?P<h>\d{1,3}):)?(?P<m>\d{1,3}):(?P<s>\d{2})(?:[.,:](?P<part>\d+))?"
    r"(?: ?(?P<half>[AaPp])\.?[Mm]\.?|Z|[+-]\d{2}:?\d{2})?"
)
CLOCK_TIMES: Final = "clock times, counted from the first"
# a point between decimal commas parts thousands, and the other way round: such a cell is no number
_SIGNS_SWAPPED: Final = str.maketrans(",.", ".,")
# An engine logged slower than one row in 5 s shows no pull; such steps are milliseconds.
LARGEST_STEP_S: Final = 5.0
DAY_S: Final = 86_400.0
HALF_DAY_S: Final = 43_200.0
# Seconds since 1970 pass 1e8 in 1973 and 1e10 in 2286; finer units are a thousand times larger.
UNIX_UNITS: Final = ((1e17, 1e-9), (1e14, 1e-6), (1e11, 1e-3))


def is_time_header(header: str) -> bool:
    """Whether a column's name says that it is a time axis."""
    return _bare_name(header) in TIME_WORDS


def _bare_name(header: str) -> str:
    name = DECORATION.sub("", header).strip().lower()
    suffixed = SUFFIX.fullmatch(name)
    return (suffixed["name"] if suffixed else name).replace("_", " ").strip()


def time_column_of(headers: Sequence[str]) -> list[int | None]:
    """For each column the number of its time column; None for time columns themselves.

    With one time column it is everybody's. With several, as loggers write that sample each
    channel by itself, a column's time is the nearest to its left; of several time columns side by
    side the first counts.
    """
    is_time = [is_time_header(header) for header in headers]
    axes = [i for i, timed in enumerate(is_time) if timed and (i == 0 or not is_time[i - 1])]
    if not axes:
        return [None] * len(headers)
    return [
        None if timed else max((axis for axis in axes if axis < i), default=axes[0])
        for i, timed in enumerate(is_time)
    ]


def seconds(
    cells: "pd.Series[str]", header: str, unit: str, decimal: str
) -> tuple[FloatArray, str]:
    """The cells as seconds (NaN where a cell is no time), and in words how they were read.

    CLOCK_TIMES are seconds of the first day: see `counted_together`.
    """
    texts = cells.astype("str").str.strip()
    filled = texts[texts != ""]
    if filled.str.fullmatch(CLOCK.pattern).mean() > 0.5:
        return _clock_seconds(texts), CLOCK_TIMES
    values = numbers(texts, decimal)
    factor, how = _factor(values, header, unit)
    return values * factor, how


def numbers(texts: "pd.Series[str]", decimal: str) -> FloatArray:
    """The cells as numbers with this decimal sign, NaN where a cell is none."""
    point = texts.str.translate(_SIGNS_SWAPPED) if decimal == "," else texts
    return pd.to_numeric(point, errors="coerce").to_numpy(np.float64)


def counted_together(clocks: Mapping[int, FloatArray]) -> dict[int, FloatArray]:
    """The clock times of all columns, by column, counted from the earliest.

    A column that begins behind midnight is of the same night as the others.
    """
    known = {axis: time_s for axis, time_s in clocks.items() if np.isfinite(time_s).any()}
    begins = {axis: float(time_s[np.isfinite(time_s)][0]) for axis, time_s in known.items()}
    days = {axis: round((b - next(iter(begins.values()))) / DAY_S) for axis, b in begins.items()}
    first_s = min((begins[axis] - DAY_S * days[axis] for axis in known), default=0.0)
    return {axis: time_s - DAY_S * days.get(axis, 0) - first_s for axis, time_s in clocks.items()}


def _factor(numbers: FloatArray, header: str, unit: str) -> tuple[float, str]:
    suffixed = SUFFIX.fullmatch(DECORATION.sub("", header).strip().lower())
    for named in (unit.lower(), suffixed["unit"] if suffixed else ""):
        if named in SECONDS_PER:
            return SECONDS_PER[named], f"{named}, as its column says"
    known = numbers[np.isfinite(numbers)]
    for largest, factor in UNIX_UNITS:
        if len(known) and np.median(known) > largest:
            return factor, f"time since 1970 in units of {factor:g} s, by its size"
    steps = np.diff(known)
    assumed = "assumed from the size of its steps"
    if unit:
        assumed += f', as its unit "{unit}" is none of time'
    if len(steps) and np.median(steps) >= LARGEST_STEP_S:
        return 1e-3, f"milliseconds, {assumed}"
    return 1.0, f"seconds, {assumed}"


def _clock_seconds(texts: "pd.Series[str]") -> FloatArray:
    """Times of day as seconds of the first; midnight passes, a day is never skipped."""
    parts = texts.str.extract(CLOCK)
    h, m, s = (pd.to_numeric(parts[name]).to_numpy(np.float64) for name in "hms")
    half = parts["half"].str.lower()
    h = np.where(half.notna(), h % 12.0 + 12.0 * (half == "p"), h)
    part = pd.to_numeric("0." + parts["part"].fillna("0")).to_numpy(np.float64)
    time_s: FloatArray = np.nan_to_num(h) * 3_600.0 + m * 60.0 + s + part
    known = np.isfinite(time_s)
    midnights = np.cumsum(np.diff(time_s[known], prepend=time_s[known][:1]) < -HALF_DAY_S)
    time_s[known] += DAY_S * midnights
    return time_s
