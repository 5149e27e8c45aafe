"""The charge-air cooler and the air around the intake: what soaks up heat, and gives it back."""

from typing import Final

from simulators.car import CoolerModel
from simulators.turbo import CP_AIR

INTAKE_SOAK_K: Final = 9.0  # intake air over the cell's, hot engine bay, little flow
INTAKE_SOAK_S: Final = 40.0


class ChargeCooler:
    """State: the core's temperature in kelvin."""

    def __init__(self, model: CoolerModel, core_k: float) -> None:
        self.model = model
        self.core_k = core_k

    def step(
        self,
        step_s: float,
        *,
        flow_gs: float,
        hot_k: float,
        ambient_k: float,
        effect: float,
        fan: float,
    ) -> float:
        """Temperature of the charge behind the cooler; effect and fan scale a healthy one's."""
        model = self.model
        cooled_k = hot_k - model.effectiveness * effect * (hot_k - self.core_k)
        taken_w = flow_gs * 1e-3 * CP_AIR * (hot_k - cooled_k)
        given_w = model.cooling_w_k * fan * (self.core_k - ambient_k)
        self.core_k += step_s * (taken_w - given_w) / model.heat_capacity_j_k
        return cooled_k


class IntakeAir:
    """State: how much warmer than the cell the air in front of the compressor is."""

    def __init__(self) -> None:
        self.rise_k = 4.0

    def step(self, step_s: float, flow_share: float) -> float:
        """The rise in kelvin: flow cools the ducts, standing warms them."""
        wanted = INTAKE_SOAK_K / (1.0 + 2.0 * flow_share)
        self.rise_k += (wanted - self.rise_k) * step_s / INTAKE_SOAK_S
        return self.rise_k
