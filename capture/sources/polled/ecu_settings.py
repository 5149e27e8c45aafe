"""What a station file may say of a polled ECU."""

from typing import Annotated, Any, Literal, Self

from pydantic import Field, ValidationError, model_validator

from capture.sources.base.settings import Bitrate, SlcanSettings
from capture.sources.gate.k_line_frames import FUNCTIONAL_TARGET
from capture.sources.gate.read_requests import FUNCTIONAL, is_request_identifier
from capture.sources.polled.ecu_addresses import LARGEST_STANDARD, response_to
from decode.yaml_file import StrictModel


class DiagnosticSettings(StrictModel):
    """An ECU that is polled over CAN, through a python-can interface.

    request, response: under which identifiers it is asked and answers (above 0x7FF: 29 bits);
    absent, the engine's ECU is looked for. session: some ECUs read out more in the extended one.
    identifiers_at_once: how many 0x22 identifiers one request asks for; fewer where the ECU
    refuses. options: whatever else the interface takes, by python-can's own names (slcan: baud and
    flow_control).
    """

    interface: Annotated[str, Field(min_length=1)]
    channel: str | int | None = None
    bitrate: Bitrate | None = 500_000
    request: Annotated[int | None, Field(ge=0, le=0x1FFF_FFFF)] = None
    response: Annotated[int | None, Field(ge=0, le=0x1FFF_FFFF)] = None
    session: Literal["default", "extended"] = "default"
    identifiers_at_once: Annotated[int, Field(ge=1, le=32)] = 3  # fit one frame
    options: dict[str, Any] = Field(default_factory=dict)

    def as_slcan(self) -> SlcanSettings | None:
        """How to open an slcan adapter; None where another interface is meant."""
        if self.interface != "slcan":
            return None
        chosen = {"channel": self.channel, "bitrate": self.bitrate, "time_stamps": False}
        fixed = {"interface": "slcan", "listen_only": False}
        return SlcanSettings.model_validate(chosen | self.options | fixed)

    @model_validator(mode="after")
    def _slcan_adapters_have_settings_of_their_own(self) -> Self:
        try:
            self.as_slcan()
        except ValidationError as error:
            problems = (f"{p['loc'][0]}: {p['msg']}" for p in error.errors())
            raise ValueError(f"slcan: {'; '.join(problems)}") from error
        return self

    @model_validator(mode="after")
    def _addresses_go_together(self) -> Self:
        request, response = self.request, self.response
        if request is None:
            if response is not None:
                raise ValueError('"response" needs "request" beside it')
            return self
        if request in FUNCTIONAL:
            raise ValueError(
                f"{request:#x} asks all ECUs at once; without a request the engine's is looked for"
            )
        if not is_request_identifier(request, request > LARGEST_STANDARD):
            raise ValueError(
                f"{request:#x} is no identifier for requests; allowed: 0x700 to 0x7ff without "
                "0x7e8 to 0x7ef, or 0x18daXXf1"
            )
        if response is None and response_to(request) is None:
            raise ValueError(f'"response" is missing: {request:#x} has no standard one')
        if response == request or (response or 0) > LARGEST_STANDARD >= request:
            raise ValueError(f'"response" {response:#x} does not go with request {request:#x}')
        return self


class KLineSettings(StrictModel):
    """An ECU that is polled over K-line, through a serial adapter (ISO 14230).

    target: the address that is woken up; functional: it names a group of ECUs, as 0x33 does all of
    J1979. request_gap_ms: from a response to the next request (P3); byte_gap_ms: from one byte of
    a request to the next (P4). The standard's gaps are the default; most ECUs stand shorter ones.
    """

    url: Annotated[str, Field(min_length=1)]
    baud: Annotated[int, Field(ge=1_200, le=125_000)] = 10_400
    target: Annotated[int, Field(ge=0, le=0xFF)] = FUNCTIONAL_TARGET
    functional: bool = True
    request_gap_ms: Annotated[float, Field(ge=0.0, le=4_000.0)] = 55.0
    byte_gap_ms: Annotated[float, Field(ge=0.0, le=20.0)] = 5.0
