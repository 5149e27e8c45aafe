"""Where the MQTT broker is and how to be let in."""

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class BrokerAddress:
    """One broker. retained: whether it may be asked to keep the last status for newcomers."""

    host: str = "127.0.0.1"
    port: int = 1883
    username: str | None = None
    password: str | None = field(default=None, repr=False)
    tls: bool = False
    retained: bool = True
