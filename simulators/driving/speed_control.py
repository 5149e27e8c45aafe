"""How a foot, or cruise control, follows a road speed: proportional-integral, with limits."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class SpeedControl:
    """Gains of a driver. Errors in m/s, goal less speed; integrals in percent of pedal.

    pedal = rest + proportional x error + integral. The service brake helps where the car is faster
    than its goal by more than brake_from_ms.
    """

    rest_percent: float
    proportional_percent_per_ms: float
    integral_percent_per_ms_step: float
    least_integral_percent: float
    most_integral_percent: float
    brake_nm_per_ms: float = 0.0
    brake_from_ms: float = 0.0

    def integral(self, before_percent: float, error_ms: float) -> float:
        """The integral one step on."""
        wanted = before_percent + self.integral_percent_per_ms_step * error_ms
        return min(max(wanted, self.least_integral_percent), self.most_integral_percent)

    def pedal(
        self, error_ms: float, integral_percent: float, most_percent: float, eager: float = 1.0
    ) -> float:
        """Percent; eager: share of the proportional gain, a driver's mood."""
        proportional = self.proportional_percent_per_ms * eager * error_ms
        return min(max(self.rest_percent + proportional + integral_percent, 0.0), most_percent)

    def service_nm(self, error_ms: float) -> float:
        """Of the service brake, at the wheels."""
        too_fast_ms = max(-error_ms - self.brake_from_ms, 0.0)
        return self.brake_nm_per_ms * min(too_fast_ms, HARDEST_BRAKING_MS)


# Set by hand on the cars of cars.py, to hold a speed without hunting; no published source.
HARDEST_BRAKING_MS: Final = 3.0  # so much too fast: as hard as an ordinary driver brakes
HOLDING: Final = SpeedControl(
    rest_percent=8.0,
    proportional_percent_per_ms=14.0,
    integral_percent_per_ms_step=0.02,
    least_integral_percent=-8.0,
    most_integral_percent=25.0,
    brake_nm_per_ms=500.0,
    brake_from_ms=0.4,
)
TRAFFIC: Final = SpeedControl(
    rest_percent=6.0,
    proportional_percent_per_ms=12.0,
    integral_percent_per_ms_step=0.01,
    least_integral_percent=-5.0,
    most_integral_percent=20.0,
    brake_nm_per_ms=400.0,
    brake_from_ms=0.8,
)
CRUISE_CONTROL: Final = SpeedControl(
    rest_percent=0.0,
    proportional_percent_per_ms=20.0,
    integral_percent_per_ms_step=0.08,
    least_integral_percent=0.0,
    most_integral_percent=90.0,
)
