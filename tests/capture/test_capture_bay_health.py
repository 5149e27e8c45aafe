import asyncio
from uuid import uuid4

import can
import pytest
from patience import wait_until

from capture.bay.health import source_health
from capture.sources.base.clock import Clock
from capture.sources.make import make_source
from capture.sources.polled.ecu_settings import DiagnosticSettings
from capture.sources.settings import SourceSettings
from capture.supervision.reconnect import SourceRunner, SourceState
from decode.channel_map import parse_map
from simulators.ecu_answers import EcuAnswers, constant
from simulators.ecu_isotp import IsoTpEcu

MAP = parse_map(
    "pullwatch_map: 1\nchannels:\n"
    "  speed: {quantity: engine_speed, source: ecu, unit: rpm, "
    "diagnostic: {service: 1, parameter: 0x0C, rate_hz: 50}}\n"
    "  throttle: {quantity: throttle_position, source: ecu, unit: '%', "
    "diagnostic: {service: 1, parameter: 0x11, rate_hz: 5}}\n"
)


async def test_what_each_polled_value_gets_is_shown_while_the_ecu_answers(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("capture.sources.polled.poller.SILENCE_S", 0.3)
    channel = str(uuid4())
    settings = DiagnosticSettings(interface="virtual", channel=channel, request=0x7E0)
    source = make_source("ecu", SourceSettings(diagnostics=settings), Clock(), MAP)
    runner = SourceRunner(source, Clock())
    answers = EcuAnswers(constant({0x0C: b"\x0a\x86", 0x11: b"\x22"}))
    with can.Bus(interface="virtual", channel=channel) as bus, IsoTpEcu(bus, answers):
        task = asyncio.create_task(runner.run(lambda _: None))

        def is_polled() -> bool:
            return any(value.achieved_hz > 20.0 for value in source_health(runner).polled)

        await asyncio.to_thread(wait_until, is_polled)
        speed, throttle = source_health(runner).polled
        answers.silent = True
        await asyncio.to_thread(wait_until, lambda: runner.state is SourceState.WAITING)
        assert source_health(runner).polled == ()
        task.cancel()
        await asyncio.wait([task])
    assert (speed.channels, speed.wanted_hz) == (("speed",), 50.0)
    assert (throttle.channels, throttle.wanted_hz) == (("throttle",), 5.0)
    assert speed.achieved_hz > 2.0 * throttle.achieved_hz > 0.0
    assert speed.age_s is not None
    assert throttle.age_s is not None
