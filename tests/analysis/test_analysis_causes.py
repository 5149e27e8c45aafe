import numpy as np
import pytest

from analysis.causes.explain import explain, suspects
from analysis.causes.network import CAUSES, LINKS, PRIOR, SHOWN, SYMPTOMS, posterior
from analysis.causes.symptoms import Observation, Symptom
from analysis.model.findings import Cause, Finding, Severity
from analysis.phrases.say import as_written, key_of
from analysis.phrases.table import LANGUAGES, Language, has_phrase
from decode.quantities import Quantity

S = Symptom


def test_every_cause_has_links() -> None:
    assert set(LINKS) == set(Cause)
    assert all(0.0 < often < 1.0 for links in LINKS.values() for often in links.values())


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_cause_has_a_name_and_what_settles_it(language: Language) -> None:
    for cause in Cause:
        assert has_phrase(key_of(cause), language)
        assert has_phrase(f"{key_of(cause)}-settled-by", language)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_symptom_can_be_evidence_for_and_against(language: Language) -> None:
    for symptom in Symptom:
        assert has_phrase(f"{key_of(symptom)}-seen", language)
        assert has_phrase(f"{key_of(symptom)}-not-seen", language)


def test_without_symptoms_every_cause_has_its_prior() -> None:
    given = posterior({}).probability
    # sets of at most three: a little less than the prior of an unbounded network
    assert all(p == pytest.approx(PRIOR, rel=0.1) for p in given.values())


def test_one_cause_alone_by_bayes_rule() -> None:
    """With one symptom that only one cause shows, the network is Bayes' rule on that cause."""
    often, leak, sure = LINKS[Cause.CLOCK_OFFSET][S.CLOCKS_APART], SHOWN[0].min(), 0.9
    row = SHOWN[0, SYMPTOMS.index(S.CLOCKS_APART)]
    assert row == pytest.approx(leak)
    shown = 1 - (1 - leak) * (1 - often)
    with_it = sure * shown + (1 - sure) * (1 - shown)
    without = sure * leak + (1 - sure) * (1 - leak)
    prior = posterior({}).probability[Cause.CLOCK_OFFSET]
    expected = prior * with_it / (prior * with_it + (1 - prior) * without)
    got = posterior({S.CLOCKS_APART: sure}).probability[Cause.CLOCK_OFFSET]
    assert got == pytest.approx(expected, rel=1e-6)


def test_a_symptom_on_its_limit_says_nothing() -> None:
    before, after = posterior({}), posterior({S.MISFIRES: 0.5})
    assert after.probability == pytest.approx(before.probability)


def test_one_cause_explains_a_symptom_away_from_another() -> None:
    rail_only = posterior({S.HIGH_PRESSURE_DROOPS: 0.99, S.LOW_PRESSURE_DROOPS: 0.01})
    both = posterior({S.HIGH_PRESSURE_DROOPS: 0.99, S.LOW_PRESSURE_DROOPS: 0.99})
    high, low = Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP, Cause.WEAK_LOW_PRESSURE_FUEL_PUMP
    assert rail_only.probability[high] > 0.6 > 0.1 > rail_only.probability[low]
    assert both.probability[low] > 0.7 > 0.4 > both.probability[high]


def test_two_causes_at_once_are_both_likely() -> None:
    given = posterior({S.ONE_CYLINDER_RETARDED: 0.99, S.CLOCKS_APART: 0.99})
    assert given.probability[Cause.SINGLE_CYLINDER_KNOCK] > 0.7
    assert given.probability[Cause.CLOCK_OFFSET] > 0.7


def test_roots_stand_before_what_they_bring_about() -> None:
    ranked = suspects({S.BOOST_HIGH: 0.98, S.WASTEGATE_ASKS_OPEN: 0.98, S.THROTTLE_CLOSED: 0.995})
    order = [s.cause for s in ranked]
    assert order.index(Cause.WASTEGATE_STUCK_CLOSED) < order.index(
        Cause.PROTECTIVE_THROTTLE_CLOSURE
    )


def test_evidence_for_and_against_in_words() -> None:
    ranked = suspects({S.BOOST_LOW: 0.99, S.WASTEGATE_ASKS_CLOSED: 0.02, S.AIR_FLOW_HIGH: 0.02})
    by_cause = {s.cause: s for s in ranked}
    suspect = by_cause[Cause.WASTEGATE_STUCK_OPEN]
    assert [s.text for s in suspect.speaks_for] == ["boost stayed below its target"]
    assert [s.text for s in suspect.speaks_against] == ["the wastegate had travel left to close"]


def test_the_posterior_is_exact_over_the_sets() -> None:
    """Against a plain loop over every set, for a handful of symptoms."""
    present = {S.BOOST_LOW: 0.8, S.AIR_FLOW_HIGH: 0.3, S.THROTTLE_CLOSED: 0.9}
    from analysis.causes.network import SETS

    weights = []
    for row, members in zip(SHOWN, SETS, strict=True):
        weight = (PRIOR / (1 - PRIOR)) ** int(members.sum())
        for symptom, sure in present.items():
            shown = row[SYMPTOMS.index(symptom)]
            weight *= sure * shown + (1 - sure) * (1 - shown)
        weights.append(weight)
    expected = np.array(weights) @ SETS / np.sum(weights)
    got = posterior(present).probability
    assert [got[c] for c in CAUSES] == pytest.approx(expected.tolist())


def test_below_even_odds_nothing_is_pointed_at() -> None:
    """A symptom that several causes show alike, of which nothing else was looked for."""
    drooped = Finding("fuel_supply", Severity.LOOK_CLOSER, (as_written("Drooped."),))
    short = Finding("turbo", Severity.LOOK_CLOSER, (as_written("Short."),))
    sure = explain([Observation(S.LOW_PRESSURE_DROOPS, 0.99, drooped)])[0]
    hedged = explain([Observation(S.TORQUE_SHORT, 0.99, short)])[0]
    assert sure.text.startswith("Drooped. Points to a weak low-pressure fuel pump")
    assert hedged.text.startswith("Short. Perhaps ")
    assert sure.confidence > 0.5 > hedged.confidence


def unexplained() -> list[Observation]:
    """Hot exhaust gas, and nothing of all that usually goes with it."""
    hot = Finding("engine_temperatures", Severity.LOOK_CLOSER, (as_written("Hot."),))
    absent = (S.ALL_CYLINDERS_RETARDED, S.TIMING_BELOW_TARGET, S.TORQUE_SHORT)
    return [Observation(S.EXHAUST_HOT, 0.99, hot), *(Observation(s, 0.01) for s in absent)]


def test_a_cause_of_less_than_one_in_ten_is_not_named_but_what_to_log() -> None:
    (found,) = explain(unexplained())
    assert found.cause is None
    assert found.text == "Hot. Not explained by what is logged."
    assert found.settled_by is not None
    assert found.settled_by.text == (
        "Log air_mass_flow, boost_pressure, boost_target and knock_retard."
    )


def test_what_is_logged_already_is_not_asked_for() -> None:
    logged = frozenset({Quantity.BOOST_PRESSURE, Quantity.BOOST_TARGET, Quantity.KNOCK_RETARD})
    (found,) = explain(unexplained(), logged=logged)
    assert found.settled_by is not None
    assert found.settled_by.text == "Log air_mass_flow, charge_air_temperature and wastegate_duty."


def test_a_misfire_is_named_by_misfires_alone() -> None:
    lean = Finding("mixture", Severity.LOOK_CLOSER, (as_written("Lean."),))
    found = explain([Observation(S.MIXTURE_LEAN, 0.99, lean)])
    assert found[0].cause is Cause.FUEL_QUANTITY_ERROR
    assert Cause.MISFIRE not in {f.cause for f in found}
    counted = explain([Observation(S.MIXTURE_LEAN, 0.99, lean), Observation(S.MISFIRES, 0.99)])
    assert Cause.MISFIRE in {f.cause for f in counted}


def test_boost_over_target_with_the_wastegate_commanded_open_is_the_wastegate() -> None:
    """Though the controller then closes the throttle and the engine knocks."""
    present = {S.BOOST_HIGH: 0.99, S.WASTEGATE_ASKS_OPEN: 0.99, S.THROTTLE_CLOSED: 0.99,
               S.ALL_CYLINDERS_RETARDED: 0.99, S.CHARGE_AIR_HOT: 0.01}  # fmt: skip
    given = posterior(present).probability
    assert given[Cause.WASTEGATE_STUCK_CLOSED] > given[Cause.LOW_OCTANE_FUEL]
    assert given[Cause.WASTEGATE_STUCK_CLOSED] > 0.7
