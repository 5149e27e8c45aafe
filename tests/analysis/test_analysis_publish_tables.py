"""The terminal says what the page says."""

from io import StringIO
from pathlib import Path

import demo_job
from rich.console import Console

from analysis.model.pull import Refused
from analysis.phrases.say import as_written
from analysis.power.figures import Measure
from analysis.publish.terminal.tables import (
    budgets_text,
    comparison_text,
    findings_table,
    jobs_table,
    pulls_table,
    refused_table,
    stored_pulls_table,
)
from analysis.publish.wording.summary import judged_jobs
from analysis.stages.compare import compare_stages


def printed(what: object) -> str:
    """As a wide terminal without colours shows it."""
    out = StringIO()
    Console(width=220, color_system=None, file=out).print(what)
    return out.getvalue()


def test_a_line_a_pull_with_verdict_figure_and_what_stands_out() -> None:
    reports = [demo_job.report(1, 0), demo_job.report(6, 1)]
    said = printed(pulls_table(reports)).splitlines()
    healthy, knocking = (line for line in said if " to 6500 rpm" in line)
    because = said[said.index(knocking) + 1]
    assert "○ healthy" in healthy
    assert "▲ look closer" in knocking
    assert "Cylinder 3" in because
    figures = reports[0].figures()
    assert figures is not None
    peak = figures.of(Measure.WHEEL_POWER)
    assert peak is not None
    assert peak.half_width is not None
    assert f"{peak.value:.1f} ± {peak.half_width:.1f} kW" in healthy


def test_the_budget_names_each_source_of_the_uncertainty_and_who_says_so() -> None:
    said = " ".join(printed(budgets_text([demo_job.report(1, 0)])).split())
    assert "Peak wheel power: " in said
    assert (
        "usual tolerances (common practice, no published source): inertia of the roller 0.98 %"
        in said
    )
    assert "for 95 % (JCGM 100)" in said


def test_every_finding_with_its_limit_and_origin() -> None:
    report = demo_job.report(6, 1)
    said = " ".join(printed(findings_table("Pull 6", report.findings)).split())
    assert said.count("common practice, no published source") >= 3
    assert "single cylinder knock" in said


def test_stored_pulls_say_why_one_does_not_count(tmp_path: Path) -> None:
    store = demo_job.fill(tmp_path)
    store.exclude_pull(2, "tyre slipped")
    figures = {pull.id: store.report_of(pull).figures() for pull in store.pulls()}
    said = printed(stored_pulls_table(store.pulls(), figures))
    assert said.count(" ± ") > len(figures)  # the head and every pull
    assert "excluded: tyre slipped" in said
    jobs = printed(jobs_table(judged_jobs(store)))
    assert "Larger charge cooler" in jobs
    assert "▲ look closer" in jobs  # the last stage's verdict: cylinder 3 knocks there
    store.close()


def test_the_comparison_in_its_own_words() -> None:
    sides = [[demo_job.pull(3 * stage + run, stage) for run in (1, 2, 3)] for stage in (0, 1)]
    comparison = compare_stages(sides[0], sides[1], demo_job.SETUP, ("before", "after"))
    said = printed(comparison_text(comparison))
    assert said.startswith("after against before")
    assert comparison.statements
    assert all(statement.text in said for statement in comparison.statements)


def test_a_refused_candidate_says_why() -> None:
    assert "no sweep" in printed(refused_table([Refused(1.0, 2.5, as_written("no sweep"))]))
