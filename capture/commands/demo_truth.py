"""Is what was found what the simulator put there? The demo's exit code depends on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from analysis.analyse import PullReport
from analysis.comparison import Comparison
from analysis.findings import Severity

BOUNDARY_LIMIT_S: Final = 0.1
TORQUE_LIMIT: Final = 0.01
REAL_TROUBLE: Final = (Severity.LOOK_CLOSER, Severity.STOP)


@dataclass(frozen=True, slots=True)
class Held:
    """One thing held against the truth."""

    what: str
    found: str
    truth: str
    agrees: bool


def hold_against_truth(
    stages: Sequence[tuple[dict[str, Any], Sequence[PullReport]]],
    comparison: Comparison,
    alerts: Sequence[dict[str, Any]],
    device_zero_s: float,
) -> list[Held]:
    """Every question the demo's exit code depends on.

    stages: the truth of each stage with the reports of its pulls. device_zero_s: the session time
    at which the simulator's clock stood at zero.
    """
    pairs = [
        (true_pull, report)
        for truth, reports in stages
        for true_pull, report in zip(truth["pulls"], reports, strict=False)
    ]
    return [
        _counts(stages),
        _boundaries(pairs, device_zero_s),
        _trouble(pairs),
        _alerted(pairs, alerts, device_zero_s),
        _torque(pairs),
        _gain(stages, comparison),
    ]


Pairs = Sequence[tuple[dict[str, Any], PullReport]]


def _counts(stages: Sequence[tuple[dict[str, Any], Sequence[PullReport]]]) -> Held:
    found = [len(reports) for _, reports in stages]
    true = [len(truth["pulls"]) for truth, _ in stages]
    return Held("pulls in each stage", str(found), str(true), found == true)


def _boundaries(pairs: Pairs, device_zero_s: float) -> Held:
    errors_s = [
        abs(getattr(report.pull.bounds, edge) - device_zero_s - true_pull[edge])
        for true_pull, report in pairs
        for edge in ("start_s", "end_s")
    ]
    worst_s = max(errors_s, default=np.inf)
    return Held(
        "largest error of a pull's start or end",
        f"{worst_s * 1000:.0f} ms",
        f"within {BOUNDARY_LIMIT_S * 1000:.0f} ms",
        worst_s <= BOUNDARY_LIMIT_S,
    )


def _trouble(pairs: Pairs) -> Held:
    found = [_causes(report) for _, report in pairs]
    true = [set(true_pull["faults"]) for true_pull, _ in pairs]
    return Held("causes, pull by pull", _words(found), _words(true), found == true)


def _causes(report: PullReport) -> set[str]:
    """The causes named by findings that matter; a finding without a cause is trouble too."""
    return {
        str(finding.cause or f"unexplained: {finding.check}")
        for finding in report.findings
        if finding.severity in REAL_TROUBLE
    }


def _words(causes: Sequence[set[str]]) -> str:
    return ", ".join(" + ".join(sorted(each)) or "none" for each in causes)


def _alerted(pairs: Pairs, alerts: Sequence[dict[str, Any]], device_zero_s: float) -> Held:
    """Every pull with a fault must have been alerted while it ran, and no other."""
    found = []
    for true_pull, _ in pairs:
        start_s, end_s = (true_pull[edge] + device_zero_s for edge in ("start_s", "end_s"))
        found.append(any(start_s <= alert["at_s"] <= end_s for alert in alerts))
    true = [bool(true_pull["faults"]) for true_pull, _ in pairs]
    said = {True: "alert", False: "quiet"}
    return Held(
        "alert while the pull ran",
        ", ".join(said[each] for each in found),
        ", ".join(said[each] for each in true),
        found == true,
    )


def _torque(pairs: Pairs) -> Held:
    """Torque at the wheel, referred to the engine, at every point of the curve."""
    errors = [_torque_error(true_pull, report) for true_pull, report in pairs]
    worst = max(errors, default=np.inf)
    return Held(
        "largest error of torque on any curve",
        f"{worst:.2%}",
        f"within {TORQUE_LIMIT:.0%}",
        worst <= TORQUE_LIMIT,
    )


def _torque_error(true_pull: dict[str, Any], report: PullReport) -> float:
    if report.power is None:
        return float("inf")
    true_nm = np.interp(
        report.power.engine_speed_rpm,
        true_pull["engine_speed_rpm"],
        true_pull["wheel_torque_nm"],
        left=np.nan,
        right=np.nan,
    )
    error = np.abs(report.power.wheel_torque_nm / true_nm - 1.0)
    return float(np.nanmax(error))


def _gain(
    stages: Sequence[tuple[dict[str, Any], Sequence[PullReport]]], comparison: Comparison
) -> Held:
    """The interval of the peak gain must hold the true one: of the stages' mean curves."""
    baseline, changed = (_mean_peak_kw(truth["pulls"]) for truth, _ in stages)
    true_kw = changed - baseline
    gain = comparison.peak_gain
    if gain is None:
        return Held("gain of peak power", "not assessable", f"{true_kw:.2f} kW", False)
    return Held(
        "gain of peak power",
        f"{gain.value:.2f} kW ({gain.low:.2f} to {gain.high:.2f})",
        f"{true_kw:.2f} kW",
        gain.low <= true_kw <= gain.high,
    )


def _mean_peak_kw(pulls: Sequence[dict[str, Any]]) -> float:
    low = max(pull["engine_speed_rpm"][0] for pull in pulls)
    high = min(pull["engine_speed_rpm"][-1] for pull in pulls)
    grid = np.arange(low, high, 10.0)
    curves = [np.interp(grid, p["engine_speed_rpm"], p["wheel_power_kw"]) for p in pulls]
    return float(np.max(np.mean(curves, axis=0)))
