"""What gets warm: coolant, oil, exhaust."""

from typing import Final

# Set by hand to what warm engines on a dyno show; no published source.
COOLANT_DEGC: Final = 89.0  # thermostat
COOLANT_LAG_S: Final = 45.0
OIL_OVER_COOLANT_K: Final = 6.0
OIL_LAG_S: Final = 70.0
OIL_LOAD_K: Final = 28.0  # oil over coolant at sustained full load
GAS_LAG_S: Final = 0.25  # manifold walls
PROBE_LAG_S: Final = 1.2  # thermocouple
COOLANT_LOAD_K: Final = 6.0  # over the thermostat's temperature at full load
FAULT_LOAD_SHARE: Final = 0.4  # an overheating engine is so much further off at full load
IDLE_GAS_DEGC: Final = 450.0
OIL_PRESSURE_KPA: Final = 90.0  # of warm oil at no speed ...
OIL_PRESSURE_KPA_RPM: Final = 0.075  # ... and for each rpm ...
OIL_RELIEF_KPA: Final = 420.0  # ... until the relief valve opens
OIL_WARM_DEGC: Final = 95.0
OIL_THINNING_K: Final = 0.004  # share of pressure lost for each kelvin above


class Thermal:
    """State: temperatures in degC; hotter_k: how far the coolant is off through a fault."""

    def __init__(self, hotter_k: float) -> None:
        self._hotter_k = hotter_k
        self.coolant_degc = COOLANT_DEGC + hotter_k
        self.oil_degc = self.coolant_degc + OIL_OVER_COOLANT_K
        self.gas_degc = IDLE_GAS_DEGC
        self.probe_degc = IDLE_GAS_DEGC

    def step(self, step_s: float, load: float, gas_degc: float) -> None:
        """load: 0 to 1 of rated air flow."""
        hotter_k = self._hotter_k * (1.0 + FAULT_LOAD_SHARE * load)
        coolant = COOLANT_DEGC + COOLANT_LOAD_K * load + hotter_k
        self.coolant_degc += (coolant - self.coolant_degc) * step_s / COOLANT_LAG_S
        oil = self.coolant_degc + OIL_OVER_COOLANT_K + OIL_LOAD_K * load
        self.oil_degc += (oil - self.oil_degc) * step_s / OIL_LAG_S
        self.gas_degc += (gas_degc - self.gas_degc) * min(1.0, step_s / GAS_LAG_S)
        self.probe_degc += (self.gas_degc - self.probe_degc) * min(1.0, step_s / PROBE_LAG_S)

    def oil_pressure_kpa(self, rpm: float) -> float:
        """Gauge; thin oil gives less."""
        warm_kpa = min(OIL_PRESSURE_KPA + OIL_PRESSURE_KPA_RPM * rpm, OIL_RELIEF_KPA)
        return warm_kpa * (1.0 - OIL_THINNING_K * (self.oil_degc - OIL_WARM_DEGC))
