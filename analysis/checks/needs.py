"""What a check needs, and the note where it is not there."""

from collections.abc import Iterable, Sequence
from functools import reduce

from analysis.causes.symptoms import Observation
from analysis.checks.check import note
from analysis.phrases.say import in_line, listed, say, word
from analysis.phrases.statement import Statement
from decode.quantities import Quantity

Group = Sequence[Quantity]  # of these one is enough


def not_judged(check: str, needs: Sequence[Group], distrusted: Iterable[str] = ()) -> Observation:
    """That a check could not judge, as nothing came of these groups of quantities.

    distrusted: channels that were left out, for they may be the reason.
    """
    quantities = listed([_either(group) for group in needs])
    if names := sorted(distrusted):
        channels = in_line(names)
        return note(check, say("not-judged-distrusted", quantities=quantities, channels=channels))
    return note(check, say("not-judged-needs", quantities=quantities))


def _either(group: Group) -> Statement:
    return reduce(lambda one, other: say("either-or", one=one, other=other), map(word, group))
