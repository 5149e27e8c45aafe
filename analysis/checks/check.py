"""What a check is: its limits, what it needs, and a pure function from a pull to observations."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from analysis.causes.symptoms import Observation
from analysis.model.engine_kind import EngineKind, stated_kind
from analysis.model.findings import Finding, Severity
from analysis.model.limits import Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Induction, Setup
from analysis.phrases.say import say
from analysis.phrases.statement import Statement
from decode.quantities import Quantity
from decode.samples import Channel


@dataclass(frozen=True, slots=True)
class Context:
    """What a check may look at beside the pull itself.

    earlier: the pulls of the same stage before this one, oldest first (heat soak, patterns), with
    what was read anew alone (as_read). channels: every channel of the map, also those that the pull
    has nothing of. inferred_kind: the kind of engine with what the pull showed of it; without, kind
    is what the station file states.
    """

    setup: Setup = field(default_factory=Setup)
    earlier: Sequence[Pull] = ()
    channels: Mapping[str, Channel] = field(default_factory=dict)
    inferred_kind: EngineKind | None = None

    @property
    def kind(self) -> EngineKind:
        """What kind of engine it is, as far as that is known."""
        return self.inferred_kind or stated_kind(self.setup.car)


Judge = Callable[[Pull, Limits, Context], list[Observation]]


@dataclass(frozen=True, slots=True)
class Check:
    """needs: groups of quantities; of each group one channel must be there, or the check says
    "not judged: needs ...". limits: this check's own, named `<name>.<what>`. induction: the
    kinds of engine that it means something for; none stands for every kind."""

    name: str
    needs: tuple[tuple[Quantity, ...], ...]
    limits: tuple[Limit, ...]
    judge: Judge
    induction: frozenset[Induction] = frozenset()


def title_of(check: str) -> Statement:
    """The title of a check, by its name as `Finding.check` has it."""
    return say(f"check-{check.replace('_', '-')}")


def stated(finding: Finding) -> Observation:
    """A statement that is no evidence for or against a cause."""
    return Observation(finding=finding)


def note(check: str, *statements: Statement) -> Observation:
    """Something said that judges nothing."""
    return stated(Finding(check, Severity.NOTE, statements))


def healthy(
    check: str,
    statements: Statement | tuple[Statement, ...],
    value: float | None = None,
    limit: Limit | None = None,
) -> Observation:
    """All is well, and this is what was seen; with the value nearest to a limit, where one is."""
    return stated(
        Finding(
            check,
            Severity.HEALTHY,
            statements if isinstance(statements, tuple) else (statements,),
            value=value,
            limit=None if limit is None else limit.value,
            unit="" if limit is None else limit.unit,
            limit_origin="" if limit is None else limit.origin,
        )
    )
