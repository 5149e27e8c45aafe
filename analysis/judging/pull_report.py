"""What is known of one pull once its analysis is done. Knows no check: lists of pulls need none."""

from dataclasses import dataclass, field

from analysis.model.findings import Finding, Severity
from analysis.model.pull import Pull
from analysis.model.setup import Setup
from analysis.power.curve import PowerCurve
from analysis.power.figures import PowerFigures, UncertainCurve, power_figures, uncertain_curve


@dataclass(frozen=True, slots=True)
class PullReport:
    """Every finding, the verdict, and the torque curve if there is one. setup: by which the pull
    was judged; an empty one where nobody kept it."""

    pull: Pull
    findings: tuple[Finding, ...]
    verdict: Severity
    power: PowerCurve | None
    setup: Setup = field(default_factory=Setup)

    def figures(self) -> PowerFigures | None:
        """The peaks of power and torque with their uncertainty; None where the pull has no curve.
        Computed anew with every call."""
        return None if self.power is None else power_figures(self.pull, self.power, self.setup)

    def uncertain_curve(self) -> UncertainCurve | None:
        """Wheel power with the uncertainty of each point."""
        return None if self.power is None else uncertain_curve(self.pull, self.power, self.setup)
