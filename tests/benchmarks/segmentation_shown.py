"""When the first reading arrives that shows the end of a true pull: what no segmenter can beat.

Found by the truth and the bare samples. How long a pull takes to be told is counted from the end
itself, which includes the wait for this reading, and from here, which is the segmenter's own share.
"""

from typing import Final

import numpy as np

from analysis.model.pull import EndReason
from analysis.segmenting.watch import LIFTED_SHARE
from decode.quantities import Quantity
from decode.samples import FloatArray
from simulators.corpus_session import CorpusSession
from simulators.truth import TruePull

FALLEN: Final = 0.90  # of its value at the end: less shows a lift (as less shows a closure)
LIMITED: Final = 0.995  # of the speed at the end: less shows the cut of a limiter
WISHES: Final = (
    Quantity.PEDAL_POSITION,
    Quantity.THROTTLE_POSITION,
    Quantity.MANIFOLD_PRESSURE,
)


def shown_s(session: CorpusSession, pull: TruePull) -> float:
    """A pedal or a manifold that has fallen; a throttle alone that is further closed than
    protection closes it; for a limiter an engine speed below the pull's last. Never before the
    end; the end of the samples where nothing shows it."""
    if pull.end_reason is EndReason.SESSION_END:
        return pull.end_s
    if pull.end_reason is EndReason.LIMITER:
        return _first_below(session, Quantity.ENGINE_SPEED, pull, LIMITED * pull.end_rpm)
    wish = next(q for q in WISHES if _channel(session, q))
    time_s, value = _readings(session, wish)
    before = value[time_s <= pull.end_s]
    at_end = float(before[-1]) if len(before) else float(value[0])
    share = LIFTED_SHARE if wish is Quantity.THROTTLE_POSITION else FALLEN
    return _first_below(session, wish, pull, share * at_end)


def _first_below(session: CorpusSession, quantity: Quantity, pull: TruePull, least: float) -> float:
    time_s, value = _readings(session, quantity)
    arrival_s = np.maximum.accumulate(time_s)
    shows = np.flatnonzero((time_s > pull.end_s) & (value < least))
    return float(arrival_s[shows[0] if len(shows) else -1])


def _readings(session: CorpusSession, quantity: Quantity) -> tuple[FloatArray, FloatArray]:
    samples = session.samples[_channel(session, quantity)]
    return samples.time_s, samples.value


def _channel(session: CorpusSession, quantity: Quantity) -> str:
    """The first channel of a quantity that speaks; empty where there is none."""
    return next(
        (
            name
            for name, channel in session.channels.items()
            if channel.quantity is quantity and len(session.samples[name])
        ),
        "",
    )
