"""Is what was found what the simulator put there? The demo's exit code depends on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from rich.table import Table

from analysis.judging.pull_report import PullReport
from analysis.model.events import Alert, AlertKind
from analysis.stages.comparison import Comparison
from capture.commands.car_messages import TruePull
from capture.recording.reader import read_recording

BOUNDARY_LIMIT_S: Final = 0.1
TORQUE_LIMIT: Final = 0.01
ABOUT_THE_CAPTURE: Final = (AlertKind.SOURCE_SILENT, AlertKind.BLIND)


@dataclass(frozen=True, slots=True)
class Held:
    """One thing held against the truth."""

    what: str
    found: str
    truth: str
    agrees: bool


Pairs = Sequence[tuple[TruePull, PullReport]]


def hold_against_truth(
    true_pulls: Sequence[TruePull],
    stages: Sequence[Sequence[PullReport]],
    comparison: Comparison,
    alerts: Sequence[Alert],
    device_zero_s: float,
) -> list[Held]:
    """Every question the demo's exit code depends on.

    true_pulls: of all stages, in order. stages: the reports of each stage's pulls. device_zero_s:
    the session time at which the simulator's clock stood at zero.
    """
    found = [report for reports in stages for report in reports]
    pairs = list(zip(true_pulls, found, strict=False))
    return [
        Held("pulls", str(len(found)), str(len(true_pulls)), len(found) == len(true_pulls)),
        _boundaries(pairs, device_zero_s),
        _trouble(pairs),
        _alerted(pairs, alerts, device_zero_s),
        _torque(pairs),
        _gain(true_pulls, len(stages[0]), comparison),
    ]


def held_table(held: Sequence[Held]) -> Table:
    """What was found beside what the simulator put there."""
    table = Table("held against the simulator's truth", "found", "truth", "", show_edge=False)
    for each in held:
        table.add_row(each.what, each.found, each.truth, "agrees" if each.agrees else "DIFFERS")
    return table


def device_zero_s(recording: Path) -> float:
    """Session time at which the simulator's clock stood at zero, from the raw dyno lines: the
    line that travelled fastest says it best."""
    session = read_recording(recording)
    start_ns = session.session.started_ns
    lags_s = [
        (int(arrived_ns) - start_ns) / 1e9 - float(batch.payload(index).split(b";")[1])
        for batch in session.batches()
        if batch.source == "dyno"
        for index, arrived_ns in enumerate(batch.arrived_ns)
        if batch.payload(index).startswith(b"D;")
    ]
    return min(lags_s)


def _boundaries(pairs: Pairs, device_zero_s: float) -> Held:
    errors_s = [
        abs(found_s - device_zero_s - true_s)
        for true_pull, report in pairs
        for found_s, true_s in (
            (report.pull.bounds.start_s, true_pull.start_s),
            (report.pull.bounds.end_s, true_pull.end_s),
        )
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
    true = [{str(cause) for cause in true_pull.faults} for true_pull, _ in pairs]
    return Held("causes, pull by pull", _cause_list(found), _cause_list(true), found == true)


def _causes(report: PullReport) -> set[str]:
    """The causes named by findings that matter; a finding without a cause is trouble too."""
    return {
        str(finding.cause or f"unexplained: {finding.check}")
        for finding in report.findings
        if finding.severity.is_trouble
    }


def _cause_list(causes: Sequence[set[str]]) -> str:
    return ", ".join(" + ".join(sorted(each)) or "none" for each in causes)


def _alerted(pairs: Pairs, alerts: Sequence[Alert], device_zero_s: float) -> Held:
    """Every pull with a fault must have been alerted while it ran, and no other. Alerts about the
    capture itself (a source late on a busy machine) are not about the car."""
    of_the_car = [alert for alert in alerts if alert.kind not in ABOUT_THE_CAPTURE]
    found = []
    for true_pull, _ in pairs:
        start_s, end_s = true_pull.start_s + device_zero_s, true_pull.end_s + device_zero_s
        found.append(any(start_s <= alert.at_s <= end_s for alert in of_the_car))
    true = [bool(true_pull.faults) for true_pull, _ in pairs]
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


def _torque_error(true_pull: TruePull, report: PullReport) -> float:
    if report.power is None:
        return float("inf")
    true_nm = np.interp(
        report.power.engine_speed_rpm,
        true_pull.engine_speed_rpm,
        true_pull.wheel_torque_nm,
        left=np.nan,
        right=np.nan,
    )
    error = np.abs(report.power.wheel_torque_nm / true_nm - 1.0)
    return float(np.nanmax(error))


def _gain(true_pulls: Sequence[TruePull], before: int, comparison: Comparison) -> Held:
    """The interval of the peak gain must hold the true one: of the stages' mean curves."""
    true_kw = _mean_peak_kw(true_pulls[before:]) - _mean_peak_kw(true_pulls[:before])
    gain = comparison.peak_gain
    if gain is None:
        return Held("gain of peak power", "not assessable", f"{true_kw:.2f} kW", False)
    return Held(
        "gain of peak power",
        f"{gain.value:.2f} kW ({gain.low:.2f} to {gain.high:.2f})",
        f"{true_kw:.2f} kW",
        gain.low <= true_kw <= gain.high,
    )


def _mean_peak_kw(pulls: Sequence[TruePull]) -> float:
    low = max(float(pull.engine_speed_rpm[0]) for pull in pulls)
    high = min(float(pull.engine_speed_rpm[-1]) for pull in pulls)
    grid = np.arange(low, high, 10.0)
    curves = [np.interp(grid, p.engine_speed_rpm, p.wheel_power_kw) for p in pulls]
    return float(np.max(np.mean(curves, axis=0)))
