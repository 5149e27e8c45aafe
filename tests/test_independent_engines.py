"""The second model against what textbooks print, and that it shares nothing with the first."""

import ast
from pathlib import Path

import numpy as np
import pytest
from independent_engines.cars import Car
from independent_engines.cell import Cell, Traces
from independent_engines.condition import HEALTHY, Condition
from independent_engines.gas import AIR_EXPONENT, ZERO_C, compressed_k
from independent_engines.kinds import KINDS
from independent_engines.programme import draw_programme
from independent_engines.running import STEP_S
from independent_engines.sessions import draw_session

FOLDER = Path(__file__).parent / "independent_engines"
PETROL = [kind for kind in KINDS if kind not in ("turbo_diesel", "altitude", "heat")]
NATURAL = ("natural_port", "single_motorcycle", "four_motorcycle")


def driven(kind: str, seed: int, condition: Condition = HEALTHY) -> tuple[Car, Traces]:
    random = np.random.default_rng(seed)
    car = KINDS[kind](random)
    programme = draw_programme(random, car.engine, 1)
    cell = Cell(car.engine, car.drive, car.air, condition, random)
    return car, cell.drive_through(programme)


def in_sweep(traces: Traces, name: str) -> np.ndarray:
    """Of the first pull, without its first second and what the limiter cuts."""
    pull = traces.pulls[0]
    first, last = int((pull.start_s + 1.0) / STEP_S), int(pull.end_s / STEP_S) - 10
    burning = traces.value["fuel_g_s"][first:last] > 0.0
    return traces.value[name][first:last][burning]


def test_the_second_model_shares_no_code_with_the_first() -> None:
    for path in FOLDER.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for name in names:
                assert not name.startswith(("simulators", "simulated_pulls", "analysis.checks"))
                assert not name.startswith(("analysis.causes", "analysis.alerting"))


@pytest.mark.parametrize("kind", PETROL)
def test_petrol_at_full_load_burns_what_petrol_engines_burn(kind: str) -> None:
    """240 to 330 g/kWh at best (Heywood, chapter 15), more where ethanol has less heat in it."""
    car, traces = driven(kind, 3)
    kw = in_sweep(traces, "torque_nm") * in_sweep(traces, "rpm") * np.pi / 3e4
    grams = in_sweep(traces, "fuel_g_s") * 3_600.0 / kw
    as_petrol = np.median(grams) * car.engine.fuel.stoichiometric_ratio / 14.5
    assert 240.0 < as_petrol < 345.0


def test_a_diesel_at_full_load_burns_what_diesels_burn() -> None:
    _, traces = driven("turbo_diesel", 3)
    kw = in_sweep(traces, "torque_nm") * in_sweep(traces, "rpm") * np.pi / 3e4
    assert 195.0 < np.median(in_sweep(traces, "fuel_g_s") * 3_600.0 / kw) < 250.0


@pytest.mark.parametrize("kind", NATURAL)
def test_an_engine_without_boost_makes_10_to_15_bar(kind: str) -> None:
    """bmep of naturally aspirated engines at full load (Heywood, table 2.1 and later engines)."""
    car, traces = driven(kind, 5)
    bar = in_sweep(traces, "torque_nm") * 4.0 * np.pi / car.engine.displacement_l / 100.0
    assert 10.0 < bar.max() < 15.0


@pytest.mark.parametrize("kind", ["turbo_direct", "turbo_diesel", "blower_petrol"])
def test_a_boosted_engine_makes_13_to_30_bar(kind: str) -> None:
    car, traces = driven(kind, 5)
    bar = in_sweep(traces, "torque_nm") * 4.0 * np.pi / car.engine.displacement_l / 100.0
    assert 13.0 < bar.max() < 30.0


@pytest.mark.parametrize("kind", KINDS)
def test_pistons_are_as_fast_as_pistons_are(kind: str) -> None:
    """8 to 15 m/s in cars, up to 26 m/s on racing motorcycles (Heywood, chapter 2)."""
    for seed in range(6):
        engine = KINDS[kind](np.random.default_rng(seed)).engine
        most = 27.0 if "motorcycle" in kind else 24.0
        assert 9.0 < 2.0 * engine.stroke_m * engine.rated_rpm / 60.0 < most


def test_air_leaves_a_compressor_as_hot_as_the_formula_says() -> None:
    """298 K, ratio 2, 75 %: T2 = T1 (1 + (2^0.2857 - 1) / 0.75) = 385.0 K."""
    assert compressed_k(298.0, 2.0, 0.75) == pytest.approx(385.0, abs=0.3)
    car, traces = driven("turbo_direct", 3)
    ratio = in_sweep(traces, "manifold_kpa") / (car.air.pressure_kpa - 2.0)
    inlet_k = car.air.temperature_degc + ZERO_C + 3.0
    rise_k = in_sweep(traces, "outlet_degc") + ZERO_C - inlet_k
    high = ratio > 1.4
    efficiency = inlet_k * (ratio**AIR_EXPONENT - 1.0)[high] / rise_k[high]
    assert efficiency.min() > 0.5
    assert efficiency.max() < 0.85


@pytest.mark.parametrize(("kind", "leak"), [("turbo_direct", 0.13), ("natural_port", 0.0)])
def test_no_air_is_made_or_lost(kind: str, leak: float) -> None:
    """What passes the meter goes into the engine, out of the leak, or fills the manifold."""
    car, traces = driven(kind, 4, Condition(leak_share=leak))
    value = traces.value
    balance = value["meter_g_s"] - value["engine_g_s"] - value["leak_g_s"] - value["stored_g_s"]
    met = balance[value["meter_g_s"] > 1.0]
    assert np.abs(met).max() < 1e-6
    volume_m3 = 1.3e-3 * car.engine.displacement_l
    kelvin = value["charge_degc"] + ZERO_C
    filled = np.diff(value["manifold_kpa"]) * volume_m3 / (0.287 * kelvin[1:])
    assert np.allclose(np.cumsum(value["stored_g_s"][1:]) * STEP_S, 1e3 * np.cumsum(filled))


def test_a_leak_of_13_percent_takes_13_percent_at_the_target() -> None:
    _, traces = driven("turbo_direct", 4, Condition(leak_share=0.13))
    share = in_sweep(traces, "leak_g_s") / in_sweep(traces, "engine_g_s")
    assert 0.06 < np.median(share) < 0.25


def test_a_healthy_boost_controller_holds_its_target() -> None:
    for seed in range(5):
        car, traces = driven("turbo_direct", seed)
        gauge = in_sweep(traces, "manifold_kpa") - car.air.pressure_kpa
        over = gauge - in_sweep(traces, "boost_target_kpa")
        assert over.max() < 0.09 * in_sweep(traces, "boost_target_kpa").max()


def test_a_seed_draws_the_same_session_again() -> None:
    one, other = (draw_session("turbo_direct", "10 Hz", 3) for _ in range(2))
    assert one.log.columns[1].name == other.log.columns[1].name
    assert all(
        np.array_equal(a.value, b.value)
        for a, b in zip(one.log.columns, other.log.columns, strict=True)
    )
