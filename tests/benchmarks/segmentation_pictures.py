"""The worst sessions as pictures to look at."""

from collections.abc import Sequence
from pathlib import Path

from segmentation_score import Span

from decode.quantities import Quantity
from simulators.corpus_session import CorpusSession

SHOWN = {
    Quantity.ENGINE_SPEED: ("rpm", "black"),
    Quantity.PEDAL_POSITION: ("%", "tab:green"),
    Quantity.THROTTLE_POSITION: ("%", "tab:orange"),
    Quantity.MANIFOLD_PRESSURE: ("kPa", "tab:purple"),
}


def draw_worst(worst: Sequence[tuple[float, CorpusSession, list[Span]]], folder: Path) -> None:
    """One picture a session: truth shaded above, what was found shaded below."""
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    folder.mkdir(parents=True, exist_ok=True)
    for rank, (badness, session, found) in enumerate(worst, start=1):
        figure, (speed, other) = plt.subplots(2, 1, figsize=(14, 8), sharex=True)
        for name, channel in session.channels.items():
            if channel.quantity in SHOWN:
                axis = speed if channel.quantity is Quantity.ENGINE_SPEED else other
                samples = session.samples[name]
                axis.plot(samples.time_s, samples.value, ".-", ms=2, lw=0.6, label=name)
        for pull in session.pulls:
            speed.axvspan(pull.start_s, pull.end_s, 0.5, 1.0, color="tab:blue", alpha=0.2)
        for span in found:
            speed.axvspan(span.start_s, span.end_s, 0.0, 0.5, color="tab:red", alpha=0.2)
        case = session.case
        speed.set_title(f"{case.kind.value}, seed {case.seed}, badness {badness:.2f}")
        other.legend()
        figure.tight_layout()
        figure.savefig(folder / f"worst_{rank:02d}.png", dpi=70)
        plt.close(figure)
