"""From air, fuel and spark to torque and heat: indicated work less friction and pumping."""

from independent_engines.design import Engine

KELVIN_BASE = 313.0
RICH_BEST = 0.90


def filling(engine: Engine, rpm: float) -> float:
    """Volumetric efficiency against the state in the manifold."""
    away = (rpm - engine.filling_rpm) / engine.rated_rpm
    return max(engine.filling * (1.0 - engine.filling_fall * away * away), 0.4)


def best_timing_deg(engine: Engine, rpm: float, manifold_kpa: float) -> float:
    """Spark advance of most torque: earlier with speed and at low load (slower flames)."""
    low_load = max(1.0 - manifold_kpa / 100.0, 0.0)
    dense = max(manifold_kpa / 100.0 - 1.0, 0.0)
    return 19.0 + 12.0 * rpm / engine.rated_rpm + 14.0 * low_load - 3.0 * dense


def knock_limit_deg(
    engine: Engine, rpm: float, manifold_kpa: float, charge_k: float, octane: float
) -> float:
    """Spark advance at which the end gas begins to knock.

    Linearised about the usual points of Douaud and Eyzat's delay: earlier knock with pressure,
    charge temperature and compression, later with octane number and speed.
    """
    return (
        17.0
        + 13.0 * rpm / engine.rated_rpm
        - 0.125 * (manifold_kpa - 100.0)
        - 0.15 * (charge_k - KELVIN_BASE)
        - 2.0 * (engine.compression_ratio - 10.0)
        + 1.1 * (octane - 95.0)
    )


def indicated_efficiency(engine: Engine, away_deg: float, mixture: float) -> float:
    """Share of the burnt fuel's heat that becomes work on the piston, of the high-pressure part."""
    if engine.compression_ignition:
        return 0.445 - 0.02 * max(1.3 - mixture, 0.0) / 0.1 * 0.3
    otto = 1.0 - float(engine.compression_ratio**-0.30)
    return 0.74 * otto * max(1.0 - 0.00042 * away_deg * away_deg, 0.3)


def heat_kw(
    engine: Engine, air_kg_s: float, mixture: float, heating_value: float, ratio: float
) -> float:
    """Heat set free: what the fuel has, or what the air can burn of it."""
    fuel_kg_s = air_kg_s / (ratio * max(mixture, 0.5))
    burnt = min(mixture, 1.0)  # richer than that, fuel leaves unburnt
    richness = 1.03 - 3.0 * (mixture - RICH_BEST) ** 2 if mixture < 1.0 else 1.0
    return fuel_kg_s * heating_value * 1e3 * burnt * max(richness, 0.6)


def friction_kpa(engine: Engine, rpm: float, manifold_kpa: float) -> float:
    """Friction mean effective pressure by Chen and Flynn, with accessories."""
    piston_m_s = 2.0 * engine.stroke_m * rpm / 60.0
    peak_bar = 0.55 * manifold_kpa if not engine.compression_ignition else 0.7 * manifold_kpa
    return 35.0 + 0.5 * min(peak_bar, 200.0) + 4.0 * piston_m_s + 0.16 * piston_m_s * piston_m_s


def exhaust_k(
    engine: Engine,
    rpm: float,
    manifold_kpa: float,
    charge_k: float,
    mixture: float,
    late_deg: float,
) -> float:
    """Gas temperature at the ports: hottest a little lean of rich, and with late sparks."""
    if engine.compression_ignition:
        return charge_k + engine.exhaust_heat_k / max(mixture, 0.9) * (
            0.9 + 0.1 * rpm / engine.rated_rpm
        )
    rich = 1.0 - 0.65 * max(1.0 - mixture, 0.0) - 1.0 * max(mixture - 1.03, 0.0)
    speed = 0.72 + 0.30 * rpm / engine.rated_rpm
    load = 0.78 + 0.22 * min(manifold_kpa / 100.0, 1.0)
    return charge_k + engine.exhaust_heat_k * rich * speed * load * (
        1.0 + 0.0075 * max(late_deg, 0.0)
    )
