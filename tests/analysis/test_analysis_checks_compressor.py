"""The operating line on a compressor map: where it lies, its margins, and when nothing is said."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import by_rpm, engine_pull

from analysis.checks import DEFAULT_LIMITS
from analysis.checks.check import Context
from analysis.checks.compressor_margins import margins
from analysis.checks.operating_line import operating_line
from analysis.model.findings import Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Setup
from analysis.physics.thermodynamics import Reference, corrected_flow
from analysis.physics.turbo_map import CompressorMap
from analysis.publish.report.compressor_chart import compressor_chart
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
# Surge at 30 g/s for each unit of ratio above 1; speed lines that fall with flow.
MAP = CompressorMap(
    surge=np.array([[0.0, 1.0], [60.0, 3.0]]),
    speed={
        100_000.0: np.array([[15.0, 1.6], [60.0, 1.5], [90.0, 1.2]]),
        150_000.0: np.array([[30.0, 2.2], [90.0, 2.1], [130.0, 1.5]]),
        200_000.0: np.array([[50.0, 3.0], [120.0, 2.8], [160.0, 2.0]]),
    },
    efficiency={},
    reference=Reference(),
)
SETUP = Setup(Car(displacement_l=1.6, boosted=True), compressor_map=MAP)
CONTEXT = Context(SETUP)
FLOW_G_S = by_rpm((1500, 35.0), (6500, 110.0))


def with_channel(pull: Pull, quantity: Quantity, values: np.ndarray) -> Pull:
    name = quantity.value
    return replace(
        pull,
        channels={**pull.channels, name: Channel(name, HOUSE_UNIT[quantity], quantity)},
        samples={**pull.samples, name: Samples(pull.samples["engine_speed"].time_s, values)},
    )


def flowing(pull: Pull, share: float = 1.0) -> Pull:
    """The pull with a measured air flow."""
    speed = pull.samples["engine_speed"]
    return with_channel(pull, Quantity.AIR_MASS_FLOW, share * FLOW_G_S(speed.time_s, speed.value))


def said(pull: Pull, context: Context = CONTEXT) -> list[Finding]:
    return [o.finding for o in margins(pull, LIMITS, context) if o.finding is not None]


def test_the_line_is_corrected_to_the_maps_reference() -> None:
    line = operating_line(flowing(engine_pull()), CONTEXT)
    assert line is not None
    at_rpm = int(np.argmin(np.abs(line.engine_speed_rpm - 4000.0)))
    expected = corrected_flow(72.5, 32.0, 98.0, MAP.reference)  # intake and air of the pull
    assert line.flow_g_s[at_rpm] == pytest.approx(expected, rel=0.01)
    boost = np.interp(4000.0, [2800.0, 6500.0], [130.0, 55.0])
    assert line.pressure_ratio[at_rpm] == pytest.approx((98.0 + boost) / 98.0, rel=0.01)
    assert line.surge_margin[at_rpm] == pytest.approx(
        line.flow_g_s[at_rpm] / (30.0 * (line.pressure_ratio[at_rpm] - 1.0)) - 1.0
    )
    assert not line.speed_measured
    assert not line.beyond_map.any()


def test_the_maps_efficiency_is_told_where_its_lines_reach() -> None:
    lines = {
        0.70: np.array([[0.0, 1.0], [50.0, 3.0], [60.0, 1.0]]),
        0.76: np.array([[100.0, 1.0], [120.0, 3.0], [140.0, 1.0]]),
    }
    told = said(
        flowing(engine_pull()),
        Context(replace(SETUP, compressor_map=replace(MAP, efficiency=lines))),
    )
    assert told[-1].severity is Severity.NOTE
    assert told[-1].text.startswith("By the map the compressor is 7")


def test_a_healthy_line_says_its_margins() -> None:
    surge, speed = said(flowing(engine_pull()))
    assert (surge.severity, speed.severity) == (Severity.HEALTHY, Severity.HEALTHY)
    assert surge.value is not None
    assert surge.value > 0.05
    assert "read off the map" in speed.text


def test_half_the_flow_is_left_of_the_surge_line() -> None:
    surge = said(flowing(engine_pull(), 0.4))[0]
    assert surge.severity is Severity.LOOK_CLOSER
    assert "left of the surge line" in surge.text
    assert surge.where is not None
    assert surge.value is not None
    assert surge.value < 0


def test_a_measured_speed_beyond_the_map_stops_the_run() -> None:
    pull = flowing(engine_pull())
    speed = pull.samples["engine_speed"].value
    for top, severity in (
        (180_000.0, Severity.HEALTHY),
        (199_000.0, Severity.LOOK_CLOSER),
        (215_000.0, Severity.STOP),
    ):
        turning = with_channel(pull, Quantity.TURBO_SPEED, np.minimum(speed * 60.0, top))
        assert said(turning)[1].severity is severity


def test_beyond_the_fastest_line_without_a_speed_sensor_is_a_reason_to_look() -> None:
    much = engine_pull({"boost": by_rpm((1500, 60), (2800, 190), (6500, 190))})
    speed = said(flowing(much, 1.4))[1]
    assert speed.severity is Severity.LOOK_CLOSER
    assert "beyond the fastest line" in speed.text


def test_without_a_map_nothing_is_said_and_without_flow_what_is_missing() -> None:
    assert said(flowing(engine_pull()), Context()) == []
    (note,) = said(engine_pull())
    assert note.severity is Severity.NOTE
    assert "needs air_mass_flow" in note.text


def test_the_chart_draws_map_and_lines() -> None:
    line = operating_line(flowing(engine_pull()), CONTEXT)
    assert line is not None
    chart = str(compressor_chart(MAP, [("Pull 1", line)]))
    assert chart.count("<path") > 5
    for words in ("surge line", "lines of turbo speed", "Pull 1", "Pressure ratio"):
        assert words in chart
