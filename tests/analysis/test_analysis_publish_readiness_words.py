"""What was seen before a pull, in sentences: nothing is lost, and units are the user's."""

from dataclasses import replace
from pathlib import Path

import demo_job

from analysis.phrases.reader import HOUSE_READER, Reader
from analysis.phrases.say import say
from analysis.phrases.units import Units
from analysis.publish.report.document import render_report
from analysis.publish.wording.readiness_text import (
    readiness_facts,
    readiness_statements,
)
from analysis.readiness.readiness import Item, Point, Readiness, State

COLD_COOLANT = Item(
    say("readiness-coolant"), State.WAIT, say("readiness-too-low"), 62.0, "degC", 75.0
)
COLD = Readiness(
    12.0,
    False,
    (COLD_COOLANT.statement,),
    (
        COLD_COOLANT,
        Item(say("readiness-oil"), State.UNKNOWN, say("readiness-no-channel")),
        Item(say("readiness-battery"), State.READY, say("readiness-good"), 14.1, "V"),
        Item(say("readiness-roller"), State.READY, say("readiness-go-together"), 0.004, "1"),
    ),
    (Point("Fan on", True), Point("Straps tight")),
)


def test_everything_that_was_seen_is_said() -> None:
    assert [str(said) for said in readiness_statements(COLD)] == [
        "Not ready: Coolant: 62 °C, too low (limit 75 °C).",
        "Good: Battery: 14.1 V; Roller and engine speed: go together.",
        "Not known: Oil: no channel.",
        "Operator's list: 1 of 2 points looked at.",
        "Not ticked: Straps tight.",
    ]


def test_units_are_the_users() -> None:
    first, *_ = readiness_statements(COLD)
    fahrenheit = Reader(Units(temperature="degF"))
    assert fahrenheit.text(first) == "Not ready: Coolant: 144 °F, too low (limit 167 °F)."


def test_a_pull_of_a_recording_says_that_nobody_looked() -> None:
    (nobody,) = readiness_statements(None)
    assert nobody.key == "readiness-nobody-looked"


def test_facts_count_pulls_and_leave_out_what_nobody_noted(tmp_path: Path) -> None:
    with demo_job.fill(tmp_path) as store:
        pulls = store.pulls()
    ready = "Car ready before the pull"
    assert readiness_facts(pulls, {}, HOUSE_READER) == {
        ready: "5 of 6 pulls",  # before the last the charge air was warm
        "Operator's list whole before the pull": "5 of 6 pulls",
    }
    cold = replace(pulls[0], readiness=COLD)
    assert readiness_facts([cold, *pulls[1:]], {}, HOUSE_READER)[ready] == "4 of 6 pulls"
    assert readiness_facts(pulls[:5], {}, HOUSE_READER)[ready] == "all 5 pulls"
    assert (
        readiness_facts([replace(pulls[0], readiness=None)], {"Straps": False}, HOUSE_READER) == {}
    )


def test_the_operators_list_is_reported_once_an_older_jobs_own_where_the_pulls_was_left_alone(
    tmp_path: Path,
) -> None:
    with demo_job.fill(tmp_path) as store:
        pulls = store.pulls()
    own, of_the_pulls = (
        "Operator's list before the first pull",
        "Operator's list whole before the pull",
    )
    job_list = {"Straps": True, "Fuel": False}
    ticked = readiness_facts(pulls, job_list, HOUSE_READER)
    assert (ticked.get(own), ticked[of_the_pulls]) == (None, "5 of 6 pulls")
    unticked = replace(COLD, checklist=(Point("Fan on"), Point("Straps tight")))
    left_alone = [replace(pull, readiness=unticked) for pull in pulls]
    facts = readiness_facts(left_alone, job_list, HOUSE_READER)
    assert (facts[own], facts.get(of_the_pulls)) == ("1 of 2 points", None)
    assert readiness_facts(left_alone, {}, HOUSE_READER)[of_the_pulls] == "0 of 6 pulls"


def test_the_report_has_it_for_customer_and_calibrator(tmp_path: Path) -> None:
    with demo_job.fill(tmp_path) as store:
        html = render_report(store, 1, demo_job.SETUP)
    first, annex = html.split("Technical annex")
    assert "Car ready before the pull</dt><dd>5 of 6 pulls" in first
    assert annex.count("Before it began.") == 6
    assert "Not ticked: Customer has agreed" in annex
