"""Where on its compressor map an engine runs through a pull: flow and ratio as the map counts them.

The compressor's own inlet and outlet pressures are seldom measured: its inlet is taken at ambient,
its outlet at the manifold. Filter (2 to 6 kPa) and charge cooler (5 to 15 kPa) therefore hide a
tenth of a ratio or two: the compressor works a little higher on its map than is drawn.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.checks.boost_pressure import barometric_kpa, manifold_kpa
from analysis.checks.charge_heat import ambient_degc
from analysis.checks.check import Context
from analysis.checks.stretches import at, smoothed
from analysis.model.pull import Pull
from analysis.physics.thermodynamics import corrected_flow, corrected_speed
from decode.quantities import Quantity
from decode.samples import FloatArray

STEP_S: Final = 0.05  # a turbo does not move further than a drawn line is wide
SMOOTH_S: Final = 0.2  # of flow and pressure, which pulse with every stroke
WORKING_KPA: Final = 10.0  # of boost: below it the compressor is only in the way


@dataclass(frozen=True, slots=True)
class OperatingLine:
    """float64[n] each, in order of time. flow_g_s and speed_rpm are corrected to the map's
    reference.

    speed_rpm: from the turbo speed channel where speed_measured, else read off the map, NaN
    outside it. Margins are shares, below 0 beyond the line; NaN where the map does not reach.
    beyond_map: bool[n], past the fastest line by flow and ratio. efficiency: as the map has it, NaN
    outside its lines.
    """

    time_s: FloatArray
    engine_speed_rpm: FloatArray
    flow_g_s: FloatArray
    pressure_ratio: FloatArray
    surge_margin: FloatArray
    speed_rpm: FloatArray
    speed_margin: FloatArray
    speed_measured: bool
    beyond_map: NDArray[np.bool_]
    efficiency: FloatArray


def operating_line(pull: Pull, context: Context) -> OperatingLine | None:
    """The line of the boosted part of the sweep; None without a compressor map, air mass flow,
    pressures and the temperature before the compressor."""
    compressor = context.setup.compressor_map
    flow, degc = pull.first(Quantity.AIR_MASS_FLOW), inlet_degc(pull, context)
    manifold, ambient_kpa = manifold_kpa(pull, context.setup), barometric_kpa(pull, context.setup)
    if (
        compressor is None
        or flow is None
        or degc is None
        or manifold is None
        or ambient_kpa is None
    ):
        return None
    time_s = np.arange(pull.bounds.start_s, pull.bounds.end_s, STEP_S)
    kpa = at(smoothed(manifold, SMOOTH_S), time_s)
    time_s, kpa = (values[kpa - ambient_kpa >= WORKING_KPA] for values in (time_s, kpa))
    measured_g_s = at(smoothed(flow, SMOOTH_S), time_s)
    inlet = np.full(len(time_s), degc)
    inlet_kpa = np.full(len(time_s), ambient_kpa)
    flow_g_s = corrected_flow(measured_g_s, inlet, inlet_kpa, compressor.reference)
    ratio = kpa / ambient_kpa
    turbo = pull.first(Quantity.TURBO_SPEED)
    speed_rpm = (
        compressor.speed_rpm(flow_g_s, ratio)
        if turbo is None
        else corrected_speed(at(smoothed(turbo, SMOOTH_S), time_s), inlet, compressor.reference)
    )
    return OperatingLine(
        time_s=time_s,
        engine_speed_rpm=pull.engine_speed_at(time_s),
        flow_g_s=flow_g_s,
        pressure_ratio=ratio,
        surge_margin=compressor.surge_margin(flow_g_s, ratio),
        speed_rpm=speed_rpm,
        speed_margin=compressor.speed_margin(speed_rpm),
        speed_measured=turbo is not None,
        beyond_map=compressor.beyond_fastest(flow_g_s, ratio),
        efficiency=compressor.efficiency_at(flow_g_s, ratio),
    )


def inlet_degc(pull: Pull, context: Context) -> float | None:
    """Before the compressor: the intake sensor where another one measures the charge, or
    ambient."""
    intake = pull.first(Quantity.INTAKE_AIR_TEMPERATURE)
    if intake is not None and pull.first(Quantity.CHARGE_AIR_TEMPERATURE) is not None:
        return float(np.median(pull.sweep(intake).value)) if len(pull.sweep(intake)) else None
    return ambient_degc(pull, context)
