"""What a check is: its limits, what it needs, and a pure function from a pull to findings."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from analysis.findings import Finding
from analysis.limits import Limit, Limits
from analysis.pull import Pull
from analysis.setup import Setup
from decode.quantities import Quantity


@dataclass(frozen=True, slots=True)
class Context:
    """What a check may look at beside the pull itself.

    earlier: the pulls of the same stage before this one, oldest first (heat soak, patterns).
    """

    setup: Setup = field(default_factory=Setup)
    earlier: Sequence[Pull] = ()


Judge = Callable[[Pull, Limits, Context], list[Finding]]


@dataclass(frozen=True, slots=True)
class Check:
    """needs: groups of quantities; of each group one channel must be there, or the check says
    "not judged: needs ...". limits: this check's own, named `<name>.<what>`."""

    name: str
    title: str
    needs: tuple[tuple[Quantity, ...], ...]
    limits: tuple[Limit, ...]
    judge: Judge
