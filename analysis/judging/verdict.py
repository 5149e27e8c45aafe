"""What the findings of a pull, a stage or a job add up to."""

from collections.abc import Iterable, Sequence

from analysis.model.findings import Finding, Severity, judged_well, lack_of, worst
from analysis.model.pull import Pull


def pull_verdict(findings: Sequence[Finding], pull: Pull) -> Severity:
    """The worst finding; healthy only where the pull is whole and what matters most was judged.

    An aborted pull, one in which every check lacked its channels, or one of which a finding of
    analysis.checks.coverage says what was missing, gets NOTE: nothing bad was seen, but too little
    was seen to call it healthy.
    """
    found = worst(finding.severity for finding in findings)
    if found is not Severity.HEALTHY:
        return found
    whole = pull.bounds.complete and lack_of(findings) is None
    return Severity.HEALTHY if whole and judged_well(findings) else Severity.NOTE


def stage_verdict(pulls: Iterable[Severity]) -> Severity:
    """The worst pull's verdict.

    Healthy only if at least one pull is and none is worse: pulls that judge nothing do not spoil
    it, but do not make it either.
    """
    return worst(pulls)


def job_verdict(stages: Sequence[Severity]) -> Severity:
    """How the car leaves: the last stage's verdict, oldest stage first.

    A fault that an earlier stage found and a later one mended no longer stands; what the last
    stage's data is not good enough to say, no earlier stage says for it. NOTE without any stage.
    """
    return stages[-1] if stages else Severity.NOTE
