"""What `pullwatch compare --json` prints of two stages, and the page's API gives."""

from analysis.model.plain_arrays import PlainArray
from analysis.phrases.statement import Statement
from analysis.publish.messages.message import Versioned
from analysis.stages.comparison import Comparison, Overlay
from analysis.stages.statistics import Interval


class ComparisonMessage(Versioned):
    """Two stages against each other, in house units: the fields are those of Comparison. Arrays
    stand on engine_speed_rpm; null where a channel has no value in some pull."""

    names: tuple[str, str]
    runs: tuple[int, int]
    engine_speed_rpm: PlainArray
    overlays: dict[str, Overlay]
    peak_gain: Interval | None
    area_gain: Interval | None
    corrected_peak_gain: Interval | None
    corrected_area_gain: Interval | None
    drift: Interval | None
    claimed: bool
    assessable: bool
    statements: tuple[Statement, ...]
    conditions: tuple[Statement, ...]


def comparison_message(comparison: Comparison) -> ComparisonMessage:
    """Build it from what the analysis says."""
    return ComparisonMessage.model_validate(comparison, from_attributes=True)
