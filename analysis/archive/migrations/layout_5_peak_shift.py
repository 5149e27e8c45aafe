"""The first power curves do not say how far smoothing moved their peak: not known, so NaN."""

import math
from typing import Any

from analysis.archive.migrations.step import Rewrite, Step


def with_peak_shift(power: dict[str, Any]) -> dict[str, Any]:
    """The curve with `peak_shift`, where it has none."""
    return power if "peak_shift" in power else {**power, "peak_shift": math.nan}


STEP = Step(rewrites=(Rewrite("pulls", "power", with_peak_shift),))
