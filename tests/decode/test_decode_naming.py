"""Headers as loggers of several countries write them; never surely wrong, mostly surely right."""

import pytest

from decode.naming import SURE, Seen, best_of, propose
from decode.quantities import Quantity
from decode.trade_terms import ABBREVIATIONS, CONCEPTS, FILLERS, RULES, VETOES

HEADERS: dict[Quantity, str] = {
    Quantity.ENGINE_SPEED: """
        Engine speed|rpm
        RPM|
        EngineSpeed|1/min
        Motordrehzahl|U/min
        nMot|rpm
        Drehzahl [1/min]|
        Régime moteur|tr/min
        Regime motore [giri/min]|
        Giri motore|rpm
        Revoluciones del motor|rpm
        Toerental|rpm
    """,
    Quantity.THROTTLE_POSITION: """
        Throttle position|%
        TPS|%
        Drosselklappenstellung|%
        Position papillon|%
        Posizione farfalla|%
        Apertura mariposa|%
    """,
    Quantity.PEDAL_POSITION: """
        Accelerator pedal position|%
        Fahrpedalstellung|%
        Pédale d'accélérateur|%
        Posizione pedale acceleratore|%
        Pedal acelerador|%
        APP1|%
    """,
    Quantity.BOOST_PRESSURE: """
        Boost pressure|bar
        Boost|psi
        Ladedruck|mbar
        Pression de suralimentation|bar
        Pressione sovralimentazione|bar
        Presión de sobrealimentación|bar
    """,
    Quantity.BOOST_TARGET: """
        Ladedruck Soll|mbar
        Boost target|kPa
        Pression de suralimentation consigne|bar
    """,
    Quantity.MANIFOLD_PRESSURE: """
        MAP|kPa
        Manifold absolute pressure|kPa
        Saugrohrdruck|hPa
        Pression collecteur|mbar
        Pressione collettore|mbar
        Presión colector admisión|kPa
    """,
    Quantity.BAROMETRIC_PRESSURE: """
        Barometric pressure|kPa
        Umgebungsdruck|hPa
        Pression atmosphérique|hPa
    """,
    Quantity.IGNITION_TIMING: """
        Ignition timing|deg
        Spark advance|°
        Zündwinkel|°KW
        Avance à l'allumage|°
        Anticipo accensione|°
        Avance de encendido|°
    """,
    Quantity.KNOCK_RETARD: """
        Knock retard cyl 3|deg
        KnockRetard_Cyl1|deg
        Zündwinkelrücknahme Zyl. 4|°KW
        Retrait cliquetis cylindre 1|°
    """,
    Quantity.INTAKE_AIR_TEMPERATURE: """
        IAT|degC
        Intake air temperature|°C
        Ansauglufttemperatur|°C
        Température d'air d'admission|°C
        Temperatura aria aspirata|°C
        Temperatura aire admisión|°C
    """,
    Quantity.CHARGE_AIR_TEMPERATURE: """
        Ladelufttemperatur|°C
        Charge air temp|F
        Intercooler outlet temperature|°C
    """,
    Quantity.COOLANT_TEMPERATURE: """
        Coolant temp|°C
        Kühlmitteltemperatur|°C
        Kühlwassertemperatur|°C
        Température liquide de refroidissement|°C
        Temp. acqua|°C
        Temperatura refrigerante|°C
        ECT_C|
    """,
    Quantity.OIL_TEMPERATURE: """
        Oil temperature|°C
        Öltemperatur|°C
        Température huile|°C
        Temperatura olio|°C
        Temperatura aceite|°C
    """,
    Quantity.OIL_PRESSURE: """
        Oil pressure|bar
        Öldruck|bar
        Pression d'huile|bar
        Presión de aceite|bar
    """,
    Quantity.EXHAUST_GAS_TEMPERATURE: """
        EGT 1|°C
        Abgastemperatur|°C
        Température échappement|°C
        Temperatura scarico|°C
    """,
    Quantity.FUEL_PRESSURE_LOW: """
        Fuel pressure|bar
        Kraftstoffdruck niederdruck|bar
    """,
    Quantity.FUEL_PRESSURE_HIGH: """
        Fuel rail pressure|MPa
        Raildruck|bar
    """,
    Quantity.FUEL_PRESSURE_HIGH_TARGET: """
        Raildruck Sollwert|bar
    """,
    Quantity.INJECTOR_DUTY: """
        Injector duty cycle|%
    """,
    Quantity.LAMBDA: """
        Lambda|
        Lambda 1|λ
        Lambdawert|-
    """,
    Quantity.LAMBDA_TARGET: """
        Lambda Soll|-
    """,
    Quantity.FUEL_TRIM_SHORT: """
        STFT|%
    """,
    Quantity.FUEL_TRIM_LONG: """
        Long term fuel trim|%
    """,
    Quantity.AIR_MASS_FLOW: """
        Mass air flow|g/s
        Luftmassenstrom|kg/h
        Débit d'air massique|kg/h
        Portata aria|kg/h
    """,
    Quantity.WASTEGATE_DUTY: """
        Wastegate duty|%
    """,
    Quantity.TURBO_SPEED: """
        Turbo speed|rpm
        Turboladerdrehzahl|1/min
    """,
    Quantity.ENGINE_TORQUE: """
        Engine torque|Nm
        Drehmoment|Nm
        Couple moteur|Nm
        Coppia motore|Nm
    """,
    Quantity.TORQUE_REQUEST: """
        Motor moment soll|Nm
    """,
    Quantity.VEHICLE_SPEED: """
        Vehicle speed|km/h
        Fahrzeuggeschwindigkeit|km/h
        Geschwindigkeit|km/h
        Vitesse véhicule|km/h
        Velocità veicolo|km/h
        Velocidad|km/h
    """,
    Quantity.ROLLER_SPEED: """
        Roller speed|km/h
        Rollengeschwindigkeit|km/h
        Dyno speed|mph
        Vitesse rouleaux|km/h
        Velocità rulli|km/h
    """,
    Quantity.WHEEL_POWER: """
        Wheel power|PS
        Radleistung|kW
        Puissance aux roues|ch
        Potenza ruote|CV
    """,
    Quantity.GEAR: """
        Gear|
        Gang|-
    """,
    Quantity.BATTERY_VOLTAGE: """
        Battery voltage|V
        Batteriespannung|V
    """,
    Quantity.MISFIRE_COUNT: """
        Misfire count cylinder 2|
    """,
    Quantity.AMBIENT_TEMPERATURE: """
        Umgebungstemperatur|°C
        Outside air temperature|°C
    """,
    Quantity.RELATIVE_HUMIDITY: """
        Luftfeuchte|%
        Relative humidity|%
    """,
}
NOTHING = """
    Klopfregelung Zyl 2|°KW
    Ignition coil current|A
    Coil dwell|ms
    Brake pressure|bar
    Transmission oil temperature|°C
    Max engine speed|rpm
    Engine speed limit|rpm
    Wheel speed FL|km/h
    Idle speed target|rpm
    Fuel level|%
    Tyre pressure FL|bar
    AFR|
    Gear oil temperature|°C
    Steering angle|deg
    Cam angle intake|deg
    Camshaft position|°
    Intake cam timing|deg
    VVT angle|deg
    Lateral acceleration|g
    Battery temperature|°C
    Fuel temperature|°C
    Fuel consumption|L/h
    Motor speed left|rpm
    Air conditioning pressure|bar
    Brake pedal position|%
    Clutch pedal|%
    Cooling fan speed|rpm
    Oil level|%
    Turbo inlet pressure|kPa
    Exhaust back pressure|kPa
    Time|s
    Seat temperature|°C
"""


def headers(text: str) -> list[tuple[str, str]]:
    lines = [line.strip() for line in text.strip().splitlines()]
    return [(name, unit) for name, _, unit in (line.partition("|") for line in lines)]


@pytest.mark.parametrize("quantity", HEADERS)
def test_what_is_surely_proposed_is_right(quantity: Quantity) -> None:
    for name, unit in headers(HEADERS[quantity]):
        found = propose(name, unit)
        assert found, name
        assert found[0].quantity is quantity, name


def test_few_are_asked_about() -> None:
    idle = {Quantity.BOOST_PRESSURE: Seen(-0.6, 1.2), Quantity.BOOST_TARGET: Seen(0.0, 1.2)}
    told = [
        propose(n, u, idle.get(quantity))[0].sure
        for quantity, text in HEADERS.items()
        for n, u in headers(text)
    ]
    assert len(told) > 100
    assert sum(told) / len(told) > 0.95


@pytest.mark.parametrize(("name", "unit"), headers(NOTHING))
def test_nothing_else_is_surely_a_quantity(name: str, unit: str) -> None:
    assert not any(proposal.sure for proposal in propose(name, unit))


def test_a_unit_of_another_dimension_speaks_against_the_name() -> None:
    assert propose("Engine speed", "rpm")[0].confidence == 1.0
    assert propose("Engine speed", "degC") == []
    assert propose("Engine speed", "furlongs") == []


def test_without_a_unit_it_asks() -> None:
    (found, *_) = propose("Boost pressure")
    assert found.quantity is Quantity.BOOST_PRESSURE
    assert found.unit == ""
    assert not found.sure


def test_a_unit_in_the_name_counts() -> None:
    assert propose("oil_temperature_degC")[0].unit == "degC"
    assert propose("Oil temperature [°F]")[0].unit == "°F"


@pytest.mark.parametrize(
    ("name", "cylinder"), [("Knock retard cyl 3", 3), ("KnockRetard4", 4), ("Knock retard", None)]
)
def test_the_cylinder_is_read_from_the_name(name: str, cylinder: int | None) -> None:
    assert propose(name, "deg")[0].cylinder == cylinder


@pytest.mark.parametrize(
    ("name", "unit", "fitting", "seen"),
    [
        ("Boost", "kPa", Seen(-60.0, 130.0), Seen(98.0, 230.0)),  # absolute
        ("Manifold pressure", "kPa", None, Seen(-60.0, 130.0)),  # gauge
        ("Knock retard", "deg", None, Seen(-6.0, 0.0)),  # counted negative
        ("Throttle", "%", None, Seen(0.0, 1.0)),  # a share
        ("Lambda", "", None, Seen(10.0, 15.0)),  # an air-fuel ratio
        ("Fuel rail pressure", "bar", Seen(48.0, 210.0), Seen(2.8, 4.1)),  # port injection
    ],
)
def test_values_that_contradict_the_name_are_asked_about(
    name: str, unit: str, fitting: Seen | None, seen: Seen
) -> None:
    assert propose(name, unit, fitting)[0].sure
    (found, *_) = propose(name, unit, seen)
    assert not found.sure
    assert "but" in found.why


@pytest.mark.parametrize(
    ("name", "unit", "quantity"),
    [
        ("AFR", "", Quantity.LAMBDA),
        ("Air/Fuel Ratio", "", Quantity.LAMBDA),
        ("Wideband", "AFR", Quantity.LAMBDA),
        ("AFR target", "", Quantity.LAMBDA_TARGET),
        ("Lambda", "", Quantity.LAMBDA),  # by its values
    ],
)
def test_an_air_fuel_ratio_asks_for_its_stoichiometric_ratio(
    name: str, unit: str, quantity: Quantity
) -> None:
    (found, *_) = propose(name, unit, Seen(10.8, 14.9))
    assert (found.quantity, found.unit) == (quantity, "AFR")
    assert not found.sure
    assert "lambda 1?" in found.why


def test_a_ratio_as_small_as_lambda_is_asked_about() -> None:
    (found, *_) = propose("AFR", "", Seen(0.8, 1.1))
    assert "but as small as lambda" in found.why


def test_what_a_name_does_not_tell_is_asked_about() -> None:
    (boost, *_) = propose("Ladedruck", "mbar")
    assert not boost.sure
    assert "gauge or absolute?" in boost.why
    assert propose("Boost pressure relative", "bar")[0].sure
    assert not propose("Wastegate position", "%")[0].sure
    assert not propose("Gear ratio", "-")[0].sure


@pytest.mark.parametrize("name", ["EGT bank 2", "Knock sensor 1 signal"])
def test_a_bank_and_a_sensor_are_no_cylinder(name: str) -> None:
    assert propose(name, "V" if "Knock" in name else "degC")[0].cylinder is None


def test_two_channels_for_one_quantity_are_asked_about() -> None:
    both = best_of({"a": propose("Engine speed", "rpm"), "b": propose("Motordrehzahl", "rpm")})
    assert not both["a"].sure
    assert "so may b" in both["a"].why
    one = best_of({"a": propose("Engine speed", "rpm"), "b": propose("Engine speed foo", "rpm")})
    assert one["a"].sure
    assert not one["b"].sure


def test_names_of_nothing_and_of_anything_give_nothing() -> None:
    for name in ("", "   ", "[]", "()", "x" * 10_000, "\x00\uffff", "a_" * 500):
        assert propose(name, "rpm") == []
    assert 0.0 < SURE < 1.0


def test_no_word_means_two_things() -> None:
    words = [word for text in CONCEPTS.values() for word in text.split()]
    assert len(words) == len(set(words))
    assert not set(words) & (set(ABBREVIATIONS) | FILLERS | VETOES)
    assert set(RULES) == set(Quantity)
    said = {c for rules in RULES.values() for rule in rules for c in rule.split()}
    assert said <= set(CONCEPTS)
