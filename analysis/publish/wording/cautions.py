"""The cautions, once: the page, the report, the command line and README all print these."""

from typing import Final

LIVE_ALERTS_CAUTION: Final = (
    "Live alerts are no safety device. They can be late, wrong or missing: watch the car, and be "
    "ready to lift at any moment."
)

CAUTIONS: Final[tuple[tuple[str, str], ...]] = (
    (
        "Restraint",
        "Strap the car down at the points its maker allows, check the straps and the tyres before "
        "every pull, and let nobody stand before or behind the car.",
    ),
    (
        "Rotating parts",
        "Keep people, hair, clothes and cables away from wheels, rollers, shafts and belts.",
    ),
    (
        "Exhaust gas",
        "Run only with exhaust extraction and fresh air; carbon monoxide kills without a smell.",
    ),
    (
        "Fire",
        "Have a suitable extinguisher within reach and a person free to use it; stop at the first "
        "smell of fuel.",
    ),
    (
        "Hot parts",
        "Exhaust, turbocharger, brakes, coolant and tyres burn; let them cool before touching.",
    ),
    ("Live alerts", LIVE_ALERTS_CAUTION),
    (
        "Law and maker",
        "Follow local law (emissions and type approval may forbid a change on the road) and what "
        "the vehicle's maker says of load, tyres and cooling.",
    ),
    (
        "Who decides",
        "These figures and findings inform a trained person; licensed practice decides whether "
        "the car is fit to drive.",
    ),
)
