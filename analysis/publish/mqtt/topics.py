"""The topics under `<root>/<station>/` and how each is delivered."""

from dataclasses import dataclass
from typing import Final

from analysis.publish.messages.station import Topic

# Days of alerts and findings at about 500 bytes each; the bound keeps memory and disk finite.
LONGEST_OUTAGE: Final = 100_000
# A fifth of a second at 25 Hz: an older readout is of no use to anybody.
LIVE_BEHIND: Final = 5


@dataclass(frozen=True, slots=True)
class Delivery:
    """bound: messages that may wait; beyond it the oldest is dropped and counted. kept: waits on
    disk for a broker that is down."""

    qos: int
    bound: int
    kept: bool
    retained: bool = False


DELIVERY: Final = {
    Topic.STATUS: Delivery(qos=1, bound=1, kept=False, retained=True),
    Topic.LIVE: Delivery(qos=0, bound=LIVE_BEHIND, kept=False),
    Topic.ALERT: Delivery(qos=1, bound=LONGEST_OUTAGE, kept=True),
    Topic.PULL: Delivery(qos=1, bound=LONGEST_OUTAGE, kept=True),
    Topic.FINDING: Delivery(qos=1, bound=LONGEST_OUTAGE, kept=True),
    Topic.VERDICT: Delivery(qos=1, bound=LONGEST_OUTAGE, kept=True),
}
