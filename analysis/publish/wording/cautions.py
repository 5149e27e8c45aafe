"""The cautions, once: the page, the report and the command line all print these; README has its
own."""

from typing import Final

from analysis.phrases.table import ENGLISH, Language, phrase

LIVE_ALERTS: Final = "caution-live-alerts"
SUBJECTS: Final = (
    ("caution-restraint-subject", "caution-restraint"),
    ("caution-rotating-parts-subject", "caution-rotating-parts"),
    ("caution-exhaust-gas-subject", "caution-exhaust-gas"),
    ("caution-fire-subject", "caution-fire"),
    ("caution-hot-parts-subject", "caution-hot-parts"),
    ("caution-live-alerts-subject", LIVE_ALERTS),
    ("caution-law-subject", "caution-law"),
    ("caution-who-decides-subject", "caution-who-decides"),
)


def cautions(language: Language = ENGLISH) -> tuple[tuple[str, str], ...]:
    """(subject, caution) of each."""
    return tuple(
        (phrase(subject, {}, language), phrase(caution, {}, language))
        for subject, caution in SUBJECTS
    )


def live_alerts_caution(language: Language = ENGLISH) -> str:
    """What stands wherever live alerts are shown."""
    return phrase(LIVE_ALERTS, {}, language)
