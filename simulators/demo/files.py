"""The demo's map and station, written from the simulator's own tables: `python -m` this module."""

from pathlib import Path
from typing import Final

from simulators.demo.bus import map_text
from simulators.demo.job import scenario
from simulators.scenario import setup_of

HERE: Final = Path(__file__).parent
MAP_FILE: Final = HERE / "demo_map.yaml"
STATION_FILE: Final = HERE / "demo_station.yaml"
# What a run fills in is written ${like_this} (string.Template).
_STATION: Final = """\
# The station of the demo: a template. The marked values (${{engine}} and so on) are filled in
# when the simulated car has opened its ports.
pullwatch_station: 1
name: demo-bay
map: ${{map}}
store: ${{store}}
clock_speed: ${{speed}}
sources:
  engine: {{can: {{interface: slcan, channel: "${{engine}}", bitrate: 500000, listen_only: true}}}}
  dyno: {{lines: {{url: "${{dyno}}", baud: 115200}}}}
  lambda: {{lines: {{url: "${{lambda}}", baud: 9600}}}}
broker: ${{broker}}
page: {{host: 127.0.0.1, port: ${{page_port}}}}
car:
  name: {car.name}
  ignition: {car.ignition}
  cylinders: {car.cylinders}
  displacement_l: {car.displacement_l}
  boosted: true
  closed_loop_boost: true
  max_boost_kpa: {car.max_boost_kpa}
  max_engine_speed_rpm: {car.max_engine_speed_rpm}
  fuel: 100-octane petrol
  mass_kg: {car.mass_kg}
dyno:
  inertia_kg_m2: {inertia}  # roller and driven wheels, at the roller's shaft
  roller_radius_m: {dyno.roller_radius_m}
  loss: measured coast-down
  coast_down:  # [km/h, kW], clutch open
{coast_down}
  correction: uncorrected
air:
  barometric_kpa: {air.barometric_kpa}
  temperature_degc: {air.temperature_degc}
  relative_humidity_percent: {air.relative_humidity_percent}
job: {{name: Mild calibration, stage: baseline, agreed: torque and health before and after}}
"""


def station_text() -> str:
    """The station template, with what is known of car, dyno and air filled in."""
    setup = setup_of(scenario("baseline"))
    dyno = setup.dyno
    rows = "\n".join(f"    - [{speed:g}, {loss_kw:g}]" for speed, loss_kw in dyno.coast_down)
    return _STATION.format(
        car=setup.car,
        dyno=dyno,
        air=setup.air,
        inertia=round(dyno.inertia_kg_m2 or 0.0, 3),
        coast_down=rows,
    )


if __name__ == "__main__":
    MAP_FILE.write_text(map_text(), encoding="utf-8")
    STATION_FILE.write_text(station_text(), encoding="utf-8")
