"""What a station file says of its sources. Loads no driver: a file is read without its adapters."""

from typing import Annotated, Final, Self

from pydantic import Discriminator, Tag, model_validator

from capture.sources.base.settings import CanSettings, FrameSettings, LineSettings, SlcanSettings
from capture.sources.polled.ecu_settings import DiagnosticSettings, KLineSettings
from decode.yaml_file import StrictModel

SLCAN: Final = "slcan"
PYTHON_CAN: Final = "python_can"
SERIAL_INTERFACES: Final = frozenset({SLCAN, "serial", "robotell", "seeedstudio"})


def _reader_of(settings: object) -> str:
    interface = (
        settings.get("interface")
        if isinstance(settings, dict)
        else getattr(settings, "interface", None)
    )
    return SLCAN if interface == SLCAN else PYTHON_CAN


AnyCanSettings = Annotated[
    Annotated[SlcanSettings, Tag(SLCAN)] | Annotated[CanSettings, Tag(PYTHON_CAN)],
    Discriminator(_reader_of),
]


class SourceSettings(StrictModel):
    """One source of a station: exactly one kind of adapter."""

    can: AnyCanSettings | None = None
    lines: LineSettings | None = None
    frames: FrameSettings | None = None
    diagnostics: DiagnosticSettings | None = None
    k_line: KLineSettings | None = None

    @model_validator(mode="after")
    def _exactly_one_kind(self) -> Self:
        given = [kind for kind in type(self).model_fields if getattr(self, kind) is not None]
        if len(given) != 1:
            kinds = ", ".join(type(self).model_fields)
            raise ValueError(f"must have exactly one of {kinds}; has {', '.join(given) or 'none'}")
        return self

    @property
    def port(self) -> str | None:
        """The serial port that this source needs for itself; None where others may share it."""
        bus, port = self.can or self.diagnostics, self.lines or self.frames or self.k_line
        if bus is not None:
            return str(bus.channel) if bus.interface in SERIAL_INTERFACES else None
        assert port is not None  # _exactly_one_kind
        return None if "://" in port.url else port.url  # a server may serve several


def one_source_a_port(sources: dict[str, SourceSettings]) -> dict[str, SourceSettings]:
    """Raises ValueError where two sources would open one port: each would get half of its bytes."""
    owner: dict[str, str] = {}
    for name, source in sources.items():
        if source.port is not None and owner.setdefault(source.port, name) != name:
            raise ValueError(
                f'"{owner[source.port]}" and "{name}" both open {source.port}, which only one '
                "source can: one adapter listens or polls; give one of them another port"
            )
    return sources
