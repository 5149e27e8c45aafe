"""What a channel may mean, from its name and unit: a proposal with its confidence, never a fact.

A name is cut into words, each word into concepts (`Motordrehzahl`: engine, rotation), and the
concepts are held against the sets that mean a quantity. The unit speaks too: it names a dimension,
and a quantity of another dimension is out.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

from decode.quantities import HOUSE_UNIT, MIXTURES, MOST_CYLINDERS, Quantity
from decode.trade_terms import (
    ABBREVIATIONS,
    CONCEPTS,
    DIMENSIONS,
    FILLERS,
    RULES,
    UNIT_WORDS,
    VETOES,
)
from decode.units import AIR_FUEL_RATIO, SPELLINGS, convert

SURE: Final = 0.8  # from here on a proposal is written into a map, below it somebody is asked
LEAST: Final = 0.35  # below it there is nothing to ask about
UNIT_MISSING: Final = 0.7  # what a proposal is worth without a unit that supports it: ask
LOOSE_CYLINDER: Final = 0.9  # a number that does not say that it is a cylinder's
SHORTEST_PART: Final = 3  # letters of a word inside a compound
LONGEST_WORD: Final = 40  # letters; no compound of the trade is longer
JOINTS: Final = ("", "s", "n", "en", "e")  # between the parts of a compound, and at its end
ATMOSPHERE_KPA: Final = 60.0  # a pressure that never falls below this is absolute, not gauge
PORT_KPA: Final = 1_500.0  # port injection: 600 at most; direct: 4,000 at idle (common practice)
LEAST_RATIO: Final = 5.0  # of air to fuel: methanol at full load, and no lambda
ALIKE: Final = 0.05  # proposals this near to each other: ask

PER_CYLINDER: Final = frozenset(
    {
        Quantity.KNOCK_RETARD,
        Quantity.KNOCK_LEVEL,
        Quantity.MISFIRE_COUNT,
        Quantity.EXHAUST_GAS_TEMPERATURE,
        Quantity.IGNITION_TIMING,
    }
)
# absolute, as ECUs have it, or above the air's, as people say it: the name alone does not tell
GAUGE_IN_NAME_ONLY: Final = frozenset({Quantity.BOOST_PRESSURE, Quantity.BOOST_TARGET})
# quantities whose name alone says the unit: nobody logs them in another
OWN_UNIT: Final = {
    Quantity.LAMBDA: "1",
    Quantity.LAMBDA_TARGET: "1",
    Quantity.GEAR: "1",
    Quantity.MISFIRE_COUNT: "1",
}
_CUT: Final = re.compile(
    r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])|(?<=\D)(?=\d)|(?<=\d)(?=\D)"
)
_APART: Final = re.compile(r"[^a-z0-9]+")
_MEASURES: Final = frozenset(
    {"pressure", "temperature", "torque", "power", "voltage", "humidity", "speed", "rotation"}
)  # concepts that are a dimension
# a number beside them is theirs: bank 1 is several cylinders, and sensor 1 hears several
_OF_SEVERAL: Final = frozenset({"bank", "sensor", "sonde"})
_IN_BRACKETS: Final = re.compile(r"[\[(]([^\])]*)[\])]")
_BEHIND: Final = re.compile(r"(?<=\w)[_ ]([A-Za-z°%/]+)$")  # a unit at the end of a name
# letters that are not a plain letter with an accent; the German ones as Germans write them without
_SPELLED_OUT: Final = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue"}
    | {"ø": "o", "ł": "l", "æ": "ae", "λ": " lambda "}
)

_WORDS: Final[dict[str, frozenset[str]]] = {
    **{word: frozenset({name}) for name, text in CONCEPTS.items() for word in text.split()},
    **{word: frozenset(text.split()) for word, text in ABBREVIATIONS.items()},
}
_PARTS: Final = sorted((w for w in _WORDS if len(w) >= SHORTEST_PART), key=len, reverse=True)
_AIR_FUEL_RATIO: Final = frozenset({"air", "fuel", "ratio"})
_SPELLINGS: Final = {
    **{unit.lower(): unit for kind in SPELLINGS.values() for unit in kind if unit},
    **UNIT_WORDS,
}


@dataclass(frozen=True, slots=True)
class Proposal:
    """unit: as a map spells it; "" where somebody must say. confidence: 0 to 1. why: in words.

    stoichiometric: of an air-fuel ratio, the one that its logger calls lambda 1; only the user
    knows it.
    """

    quantity: Quantity
    unit: str
    cylinder: int | None
    confidence: float
    why: str
    stoichiometric: float | None = None

    @property
    def sure(self) -> bool:
        """Whether it may be taken without asking."""
        return self.confidence >= SURE


@dataclass(frozen=True, slots=True)
class Seen:
    """The lowest and highest value a channel had, in its own unit."""

    low: float
    high: float


@dataclass(frozen=True)
class _Name:
    """concepts: what its words mean. strange: how many of its words mean nothing here."""

    concepts: frozenset[str]
    strange: int
    numbers: tuple[int, ...]
    unit: str  # spelled in the name itself
    vetoed: str


def propose(name: str, unit: str = "", seen: Seen | None = None) -> list[Proposal]:
    """What the channel may mean, the likeliest first; empty where nothing fits."""
    read = _read(name, unit)
    if read.vetoed:
        return []
    spelled = unit_spelling(unit) or (read.unit if not unit.strip() else "")
    if unit.strip() and not spelled:
        return []  # a unit of something else
    found = [_judged(quantity, read, spelled, seen) for quantity in RULES]
    likely = [p for p in found if p is not None and p.confidence >= LEAST]
    return sorted(likely, key=lambda p: -p.confidence)


def unit_spelling(text: str) -> str:
    """The unit as a map spells it; "" where it is none of them."""
    return _SPELLINGS.get(text.strip().lower(), "")


def best_of(proposals: Mapping[str, Sequence[Proposal]]) -> dict[str, Proposal]:
    """The likeliest proposal of each channel, by channel name.

    What is as likely another thing, or what another channel is as likely, is no longer sure.
    """
    best = {name: _unless_alike(found) for name, found in proposals.items() if found}
    taken: dict[tuple[Quantity, int | None], list[str]] = {}
    for name, proposal in best.items():
        taken.setdefault((proposal.quantity, proposal.cylinder), []).append(name)
    for names in taken.values():
        for name in _losers(names, best):
            others = ", ".join(n for n in names if n != name)
            best[name] = _doubted(best[name], f"so may {others}")
    return best


def _losers(names: Sequence[str], best: Mapping[str, Proposal]) -> Iterable[str]:
    """All but the one that is clearly likelier than the others."""
    if len(names) < 2:
        return ()
    first, second = sorted(names, key=lambda n: -best[n].confidence)[:2]
    clear = best[first].confidence > best[second].confidence + ALIKE
    return [name for name in names if not (clear and name == first)]


def _unless_alike(found: Sequence[Proposal]) -> Proposal:
    if len(found) > 1 and found[0].confidence < found[1].confidence + ALIKE:
        return _doubted(found[0], f"or {found[1].quantity}")
    return found[0]


def _doubted(proposal: Proposal, why: str) -> Proposal:
    confidence = min(proposal.confidence, SURE - ALIKE)
    return replace(proposal, confidence=confidence, why=f"{proposal.why}; {why}")


def _judged(quantity: Quantity, read: _Name, unit: str, seen: Seen | None) -> Proposal | None:
    house = HOUSE_UNIT[quantity]
    is_ratio = unit == AIR_FUEL_RATIO and quantity in MIXTURES
    if unit and unit not in SPELLINGS[house] and not is_ratio:
        return None
    dimension = DIMENSIONS[house]
    concepts = read.concepts | (dimension if unit else frozenset())
    score, used = max(
        (_score(frozenset(rule.split()), concepts, read, dimension), rule)
        for rule in RULES[quantity]
    )
    if score == 0.0:
        return None
    if not unit:
        unit = OWN_UNIT.get(quantity, "rpm" if "rpm" in read.unit else "")
        score *= 1.0 if unit else UNIT_MISSING
    cylinder = _cylinder(quantity, read)
    if cylinder is not None and "cylinder" not in read.concepts:
        score *= LOOSE_CYLINDER
    proposal = Proposal(quantity, unit, cylinder, round(score, 2), f"{used}, {unit or 'no unit'}")
    if is_ratio:
        proposal = _doubted(proposal, "which air-fuel ratio does it call lambda 1?")
    if quantity is Quantity.WASTEGATE_DUTY and "position" in read.concepts:
        proposal = _doubted(proposal, "but a position is no duty")
    if quantity in GAUGE_IN_NAME_ONLY and seen is None and "gauge" not in read.concepts:
        proposal = _doubted(proposal, "gauge or absolute?")
    return _by_values(proposal, seen)


def _score(
    rule: frozenset[str], concepts: frozenset[str], read: _Name, dimension: frozenset[str]
) -> float:
    """Of all that the name says, how much the rule explains."""
    if not rule <= concepts or (not rule & read.concepts):
        return 0.0
    said = read.concepts - {"cylinder", "position"} - dimension
    left = said - rule
    if left & _MEASURES - dimension:
        return 0.0  # it says that it is of another dimension
    return len(rule) / (len(rule) + len(left) + read.strange)


def _cylinder(quantity: Quantity, read: _Name) -> int | None:
    if quantity not in PER_CYLINDER or len(read.numbers) != 1:
        return None
    return read.numbers[0] if 1 <= read.numbers[0] <= MOST_CYLINDERS else None


def _by_values(proposal: Proposal, seen: Seen | None) -> Proposal | None:
    """What the values say against a proposal."""
    if seen is None or not proposal.unit:
        return proposal
    if proposal.unit == AIR_FUEL_RATIO:
        small = seen.low < LEAST_RATIO
        return _doubted(proposal, "but as small as lambda") if small else proposal
    conversion = convert(proposal.unit, HOUSE_UNIT[proposal.quantity])
    low = seen.low * conversion.factor + conversion.offset
    high = seen.high * conversion.factor + conversion.offset
    match proposal.quantity:
        case quantity if quantity in GAUGE_IN_NAME_ONLY and low > ATMOSPHERE_KPA:
            return _doubted(proposal, f"but never below {low:.0f} kPa, as if absolute")
        case Quantity.FUEL_PRESSURE_HIGH | Quantity.FUEL_PRESSURE_HIGH_TARGET if high < PORT_KPA:
            return _doubted(proposal, f"but never above {high:.0f} kPa, as if of port injection")
        case Quantity.MANIFOLD_PRESSURE if low < 0.0:
            return _doubted(proposal, f"but falls to {low:.0f} kPa, as if gauge")
        case Quantity.KNOCK_RETARD if low < 0.0:
            return _doubted(proposal, f"but counted negative (down to {low:.1f} deg)")
        case Quantity.THROTTLE_POSITION | Quantity.PEDAL_POSITION if high < 2.0:
            return _doubted(proposal, f"but never above {high:.1f} %, as if a share of 1")
        case Quantity.LAMBDA | Quantity.LAMBDA_TARGET if low > 5.0:
            as_ratio = replace(proposal, unit=AIR_FUEL_RATIO)
            return _doubted(as_ratio, "but as large as an air-fuel ratio: of which lambda 1?")
    return proposal


def _read(name: str, said_unit: str) -> _Name:
    bracketed = _IN_BRACKETS.search(name)
    unit = unit_spelling(bracketed[1]) if bracketed else ""
    bare = _IN_BRACKETS.sub(" ", name) if unit else name
    says_ratio = set(_tokens(bare)) >= _AIR_FUEL_RATIO
    behind = None if says_ratio else _BEHIND.search(bare)  # "ratio" is a unit elsewhere
    last = unit_spelling(behind[1]) if behind is not None and not unit else ""
    # beside another unit it is a word: a gear ratio is no gear
    if behind is not None and last and unit_spelling(said_unit) in ("", last):
        unit, bare = last, bare[: behind.start()]
    words = _tokens(bare)
    letters = [word for word in words if not word.isdigit()]
    if not unit and "rpm" in letters:
        unit = "rpm"
    if says_ratio:
        letters = [word for word in letters if word not in _AIR_FUEL_RATIO] + ["afr"]
    if not unit and "afr" in letters:
        unit = AIR_FUEL_RATIO
    concepts: set[str] = set()
    strange = 0
    for word in letters:
        meant = _meaning(word)
        if meant:
            concepts |= meant
        elif word not in FILLERS and len(word) > 1:
            strange += 1
    numbers = tuple(int(word) for word in words if word.isdigit() and len(word) <= 2)
    if _OF_SEVERAL.intersection(letters) and "cylinder" not in concepts:
        numbers = ()
    vetoed = next((word for word in letters if word in VETOES), "")
    return _Name(frozenset(concepts), strange, numbers, unit, vetoed)


def _tokens(name: str) -> list[str]:
    composed = unicodedata.normalize("NFC", name)
    apart = " ".join(_CUT.split(composed.translate(_SPELLED_OUT)))
    plain = unicodedata.normalize("NFKD", apart.lower())
    bare = "".join(c for c in plain if not unicodedata.combining(c))
    return [word for word in _APART.split(bare) if word]


@cache
def _meaning(word: str) -> frozenset[str]:
    """The concepts of a word, or of all parts of a compound; empty where a part is unknown."""
    if word in _WORDS:
        return _WORDS[word]
    if word in FILLERS or not 2 * SHORTEST_PART <= len(word) <= LONGEST_WORD:
        return frozenset()
    return _parts(word) or frozenset()


@cache
def _parts(word: str) -> frozenset[str] | None:
    """None where the word is not made of known parts."""
    if word in JOINTS:
        return frozenset()
    for part in (p for p in _PARTS if word.startswith(p)):
        for joint in JOINTS:
            if word.startswith(joint, len(part)):
                rest = _parts(word[len(part) + len(joint) :])
                if rest is not None:
                    return _WORDS[part] | rest
    return None
