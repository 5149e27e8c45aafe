"""Is the warmer charge what the added boost costs? The physics of compressor and charge cooler.

The compressor heats the air by T1 (PR^((g-1)/g) - 1) / efficiency, and the cooler lets through
what its effectiveness leaves of it: more ratio is more heat, by an amount that can be said. Warmer
air within that amount is part of the change; beyond it, it is heat soak, the fan or the cooler.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement
from analysis.physics.thermodynamics import compressor_outlet_degc, pressure_ratio
from analysis.stages.comparison import Overlay
from decode.quantities import Quantity
from decode.samples import FloatArray

# A compressor works at 0.60 to 0.75 on its full-load line, a charge cooler takes out 0.6 to 0.85
# of the heat (published maps and cooler tests; the ranges: common practice, no published source).
EFFICIENCIES: Final = (0.60, 0.75)
EFFECTIVENESSES: Final = (0.60, 0.85)
AMBIENT_KPA: Final = 100.0  # 5 kPa beside it moves the answer by a twentieth
AMBIENT_DEGC: Final = 25.0  # and so do 15 K
LEAST_BOOST_KPA: Final = 5.0  # steady boost control is no better than 3 to 5 kPa
LEAST_K: Final = 1.0  # the resolution of a production temperature sensor
AIR: Final = (
    (Quantity.CHARGE_AIR_TEMPERATURE, "heat-charge-air"),
    (Quantity.INTAKE_AIR_TEMPERATURE, "heat-intake-air"),
)
PRESSURES: Final = ((Quantity.BOOST_PRESSURE, AMBIENT_KPA), (Quantity.MANIFOLD_PRESSURE, 0.0))


def added_heat(overlays: Mapping[str, Overlay]) -> tuple[Statement, ...]:
    """One sentence where boost was added and the air behind the cooler got warmer; else none."""
    pressures = next((p for q, add in PRESSURES if (p := _absolute_kpa(overlays, q, add))), None)
    found = next(((o, name) for q, name in AIR if (o := _of(overlays, q)) is not None), None)
    if pressures is None or found is None:
        return ()
    air, name = found
    added_kpa, warmer_k = pressures[1] - pressures[0], _upper_mean(air.difference)
    if not (added_kpa >= LEAST_BOOST_KPA and warmer_k >= LEAST_K) or _within_spread(air):
        return ()
    least, most = expected_rise_k(*pressures)
    warmer, added = amount(warmer_k, "K"), amount(added_kpa, "kPa", difference=True)
    if warmer_k <= most:
        explained = {"least": amount(least, "K"), "most": amount(most, "K")}
        return (
            say("heat-explained-by-boost", air=say(name), warmer=warmer, boost=added, **explained),
        )
    most_k = amount(most, "K")
    return (say("heat-beyond-boost", air=say(name), warmer=warmer, boost=added, most=most_k),)


def expected_rise_k(before_kpa: float, after_kpa: float) -> tuple[float, float]:
    """Least and most that the charge behind the cooler warms when absolute pressure goes from one
    to the other, over EFFICIENCIES and EFFECTIVENESSES."""
    least, most = (
        _behind_cooler_k(after_kpa, efficiency, effectiveness)
        - _behind_cooler_k(before_kpa, efficiency, effectiveness)
        for efficiency, effectiveness in (
            (EFFICIENCIES[1], EFFECTIVENESSES[1]),
            (EFFICIENCIES[0], EFFECTIVENESSES[0]),
        )
    )
    return least, most


def _behind_cooler_k(absolute_kpa: float, efficiency: float, effectiveness: float) -> float:
    """Over ambient."""
    ratio = pressure_ratio(absolute_kpa, AMBIENT_KPA)
    outlet_degc = compressor_outlet_degc(AMBIENT_DEGC, ratio, efficiency)
    return (1.0 - effectiveness) * (outlet_degc - AMBIENT_DEGC)


def _of(overlays: Mapping[str, Overlay], quantity: Quantity) -> Overlay | None:
    """The first channel of a quantity that has values over the upper half."""
    mine = (overlay for overlay in overlays.values() if overlay.quantity == quantity)
    return next((o for o in mine if np.isfinite(_upper_mean(o.difference))), None)


def _absolute_kpa(
    overlays: Mapping[str, Overlay], quantity: Quantity, add_kpa: float
) -> tuple[float, float] | None:
    """Mean over the upper half, (baseline, changed); None without the channel."""
    overlay = _of(overlays, quantity)
    if overlay is None:
        return None
    before, after = _upper_mean(overlay.mean_baseline), _upper_mean(overlay.mean_changed)
    return add_kpa + before, add_kpa + after


def _upper_mean(values: FloatArray) -> float:
    """Over the upper half of the common speeds: boost and sensors have settled there."""
    upper = values[len(values) // 2 :]
    return float(upper.mean()) if len(upper) else float("nan")


def _within_spread(overlay: Overlay) -> bool:
    """Whether the runs differ by as much among themselves; False where no band is known."""
    return _upper_mean(overlay.difference) <= _upper_mean(overlay.half_width)
