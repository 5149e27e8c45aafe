"""What gets warm: coolant, oil, exhaust."""

from typing import Final

COOLANT_DEGC: Final = 89.0  # thermostat
COOLANT_LAG_S: Final = 45.0
OIL_OVER_COOLANT_K: Final = 6.0
OIL_LAG_S: Final = 70.0
OIL_LOAD_K: Final = 28.0  # oil over coolant at sustained full load
GAS_LAG_S: Final = 0.25  # manifold walls
PROBE_LAG_S: Final = 1.2  # thermocouple


class Thermal:
    """State: temperatures in degC; hotter_k: how far the coolant is off through a fault."""

    def __init__(self, hotter_k: float) -> None:
        self._hotter_k = hotter_k
        self.coolant_degc = COOLANT_DEGC + hotter_k
        self.oil_degc = self.coolant_degc + OIL_OVER_COOLANT_K
        self.gas_degc = 450.0
        self.probe_degc = 450.0

    def step(self, step_s: float, load: float, gas_degc: float) -> None:
        """load: 0 to 1 of rated air flow."""
        coolant = COOLANT_DEGC + 6.0 * load + self._hotter_k * (1.0 + 0.4 * load)
        self.coolant_degc += (coolant - self.coolant_degc) * step_s / COOLANT_LAG_S
        oil = self.coolant_degc + OIL_OVER_COOLANT_K + OIL_LOAD_K * load
        self.oil_degc += (oil - self.oil_degc) * step_s / OIL_LAG_S
        self.gas_degc += (gas_degc - self.gas_degc) * min(1.0, step_s / GAS_LAG_S)
        self.probe_degc += (self.gas_degc - self.probe_degc) * min(1.0, step_s / PROBE_LAG_S)

    def oil_pressure_kpa(self, rpm: float) -> float:
        """Gauge; thin oil gives less."""
        return min(90.0 + 0.075 * rpm, 420.0) * (1.0 - 0.004 * (self.oil_degc - 95.0))
