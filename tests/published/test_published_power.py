"""Power from torque, the units of the trade, the roller, and the three loss conventions."""

import numpy as np
import pytest
from scipy import constants

from analysis.model.setup import Dyno, LossConvention
from analysis.power.curve import torque_nm
from analysis.power.losses import coast_down_loss_kw, engine_power_kw, loss_statement
from analysis.power.rollers import RAD_S_PER_RPM, angular_momentum
from analysis.stages.comparability import engine_inertia_torque_nm
from decode.samples import Samples
from decode.units import convert

KW_PER_HP = 0.74569987  # 550 lbf ft/s
KW_PER_METRIC_HP = 0.73549875  # 75 kgf m/s
NM_PER_LBF_FT = 1.3558179483


@pytest.mark.parametrize(
    ("unit", "house", "factor"),
    [
        ("hp", "kW", KW_PER_HP),
        ("metric hp", "kW", KW_PER_METRIC_HP),
        ("lbf ft", "Nm", NM_PER_LBF_FT),
        ("inHg", "kPa", 3.386389),
        ("psi", "kPa", 6.894757),
        ("bar", "kPa", 100.0),
        ("mph", "km/h", 1.609344),
        ("lb/min", "g/s", 453.59237 / 60),
    ],
)
def test_unit_factors(unit: str, house: str, factor: float) -> None:
    """Definitions (550 lbf ft/s, 75 kgf m/s, 0.3048 m, 0.45359237 kg, 9.80665 m/s2), recomputed."""
    assert convert(unit, house) == pytest.approx((factor, 0.0), rel=1e-6)


def test_temperatures_have_an_offset_too() -> None:
    assert convert("degF", "degC").apply(np.array([32.0, 212.0])) == pytest.approx([0.0, 100.0])
    assert convert("K", "degC").apply(np.array([273.15])) == pytest.approx([0.0])


def test_horsepower_is_scipys_too() -> None:
    assert constants.hp == pytest.approx(1000 * KW_PER_HP, rel=1e-7)


def test_power_from_torque() -> None:
    """300 lbf ft at 5,252.113 rpm is 300.000 hp (hp = lbf ft x rpm / 5252.1131) and 406.745 Nm;
    400 Nm at 5,000 rpm is 209.4395 kW, 280.863 hp, 284.758 metric hp. Recomputed."""
    power_kw = 209.4395
    found = torque_nm(np.array([300 * KW_PER_HP, power_kw]), np.array([5252.1131, 5000.0]))
    assert found == pytest.approx([406.745, 400.0], rel=1e-5)
    assert found[0] / NM_PER_LBF_FT == pytest.approx(300.0, rel=1e-5)
    in_hp, in_metric_hp = (power_kw / unit for unit in (KW_PER_HP, KW_PER_METRIC_HP))
    assert (in_hp, in_metric_hp) == pytest.approx((280.863, 284.758), abs=1e-3)


def test_roller_of_1200_kg() -> None:
    """r 0.3048 m and 1,200 kg are 111.4836 kg m2; 20 to 50 m/s in 7 s: 14.0607 rad/s2, 1567.54 Nm,
    257.143 kW at 50 m/s. P = I omega alpha; recomputed."""
    inertia = 1200 * 0.3048**2
    assert inertia == pytest.approx(111.4836, abs=1e-4)
    omega = np.array([20.0, 50.0]) / 0.3048
    momentum = angular_momentum(Samples(np.array([0.0, 7.0]), omega), inertia, None)
    torque = np.diff(momentum.value)[0] / 7.0
    assert torque == pytest.approx(1567.54, abs=0.01)
    assert torque * omega[1] / 1000 == pytest.approx(257.143, abs=1e-3)


def test_what_the_brake_takes_counts_as_much_as_what_accelerates() -> None:
    """P = (I alpha + T_brake) omega, the road-load form of 40 CFR 1066.210 (read): 20 kg m2 at
    15 rad/s2 and 200 rad/s is 60 kW; the same with 300 Nm on a roller that stands at speed."""
    time_s = np.linspace(0.0, 1.0, 11)
    free = angular_momentum(Samples(time_s, 200 + 15 * time_s), 20.0, None)
    held = angular_momentum(
        Samples(time_s, np.full(11, 200.0)), 20.0, Samples(time_s, np.full(11, 300.0))
    )
    for momentum in (free, held):
        slope = np.diff(momentum.value) / 0.1
        assert slope * 200 / 1000 == pytest.approx(np.full(10, 60.0))


@pytest.mark.parametrize(
    ("loss", "engine"),
    [
        (LossConvention.ADD_PERCENT_OF_WHEEL, 230.0),
        (LossConvention.PERCENT_OF_ENGINE_LOST, 235.294),
    ],
)
def test_fifteen_percent_means_two_things(loss: LossConvention, engine: float) -> None:
    """200 kW at the wheel: 230.0 or 235.29. Common practice, no published source; recomputed."""
    found = engine_power_kw(np.array([200.0]), None, Dyno(loss=loss, loss_percent=15.0))
    assert found == pytest.approx([engine], abs=1e-3)


@pytest.mark.parametrize(("wheel_hp", "engine_hp"), [(100.0, 115.0), (124.0, 142.6)])
def test_adding_fifteen_percent_claims_thirteen_lost(wheel_hp: float, engine_hp: float) -> None:
    """100 hp at the wheel becomes 115, 124 becomes 142.6: a factor on wheel power, 13 % of engine
    power. Common practice, no published source."""
    dyno = Dyno(loss=LossConvention.ADD_PERCENT_OF_WHEEL, loss_percent=15.0)
    found = engine_power_kw(np.array([wheel_hp]), None, dyno)
    assert found == pytest.approx([engine_hp])
    assert 1 - wheel_hp / engine_hp == pytest.approx(0.1304, abs=1e-4)
    assert "13.0 % of engine power" in str(loss_statement(dyno))
    assert "percent" not in str(loss_statement(Dyno()))


@pytest.mark.parametrize(
    ("percent", "apart"), [(5, 0.25), (10, 1.01), (12, 1.46), (15, 2.30), (20, 4.17), (25, 6.67)]
)
def test_how_far_the_two_percentages_lie_apart(percent: float, apart: float) -> None:
    """1/(1-L) over 1+L, in percent; recomputed."""
    wheel = np.array([100.0])
    added, lost = (
        engine_power_kw(wheel, None, Dyno(loss=loss, loss_percent=percent))
        for loss in (LossConvention.ADD_PERCENT_OF_WHEEL, LossConvention.PERCENT_OF_ENGINE_LOST)
    )
    assert added is not None
    assert lost is not None
    assert 100 * (lost / added - 1) == pytest.approx([apart], abs=5e-3)


def test_coast_down_is_added_at_the_same_road_speed() -> None:
    """Road load 180 + 1.2 v + 0.045 v2 N (form read in 40 CFR 1066.210, numbers recomputed):
    4.44, 7.695, 12.0, 17.625 kW at 20, 30, 40, 50 m/s."""
    speed_ms = np.array([20.0, 30.0, 40.0, 50.0])
    loss_kw = (180 + 1.2 * speed_ms + 0.045 * speed_ms**2) * speed_ms / 1000
    assert loss_kw == pytest.approx([4.44, 7.695, 12.0, 17.625])
    table = tuple(zip((3.6 * speed_ms).tolist(), loss_kw.tolist(), strict=True))
    dyno = Dyno(loss=LossConvention.COAST_DOWN, coast_down=table)
    assert coast_down_loss_kw(np.array([144.0]), dyno) == pytest.approx([12.0])
    assert engine_power_kw(np.array([100.0]), np.array([108.0]), dyno) == pytest.approx([107.695])
    assert np.isnan(coast_down_loss_kw(np.array([60.0, 200.0]), dyno)).all()


@pytest.mark.parametrize(("seconds", "nm", "kw"), [(3, 23.6, 16.0), (6, 11.8, 8.0), (12, 5.9, 4.0)])
def test_what_the_engine_keeps_to_turn_itself_up(seconds: float, nm: float, kw: float) -> None:
    """J alpha with 0.15 kg m2 from 2,000 to 6,500 rpm; recomputed. A faster ramp reads lower."""
    kept = engine_inertia_torque_nm(0.15, 4500 / seconds)
    assert kept == pytest.approx(nm, abs=0.05)
    assert kept * 6500 * RAD_S_PER_RPM / 1000 == pytest.approx(kw, abs=0.05)
