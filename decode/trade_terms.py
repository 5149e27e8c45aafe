"""Words of the trade for what loggers measure, in the languages that loggers speak.

Lower case, without accents; ae, oe and ue for German ä, ö and ü. English, German,
French, Italian, Spanish, with Dutch, Portuguese, Swedish and Polish where the word differs.
"""

from typing import Final

from decode.quantities import Quantity

# concept -> its words; a German compound is taken apart into them
CONCEPTS: Final[dict[str, str]] = {
    "engine": "engine eng motor moteur motore motors mot crankshaft crank kurbelwelle silnik",
    "rotation": "rpm drehzahl drehz regime giri revs revolutions revoluciones toerental varvtal "
    "rotation rotational rotacao obroty tours umdrehungen",
    "speed": "speed spd velocity geschwindigkeit geschw vitesse velocita velocidad velocidade "
    "snelheid hastighet predkosc vel tempo",
    "pedal": "pedal accelerator fahrpedal gaspedal accelerateur acceleratore acelerador pedale "
    "gaspedaal app accpedal",
    "throttle": "throttle drosselklappe drossel papillon farfalla mariposa borboleta gasklep tps "
    "trottel przepustnica thr",
    "boost": "boost ladedruck suralimentation sovralimentazione sobrealimentacion turbodruk "
    "laddtryck turbodruck soplado sobrepresion",
    "target": "target request setpoint desired demand demanded soll sollwert consigne cible "
    "obiettivo objetivo consigna requested commanded cmd specified tgt richiesto richiesta deseado "
    "deseada demande demandee solicitado sp setp vorgabe",
    "manifold": "manifold saugrohr collecteur collettore colector inlaatspruitstuk coletor",
    "barometric": "barometric baro barometer atmospheric atmosphere barometrique atmospherique "
    "barometrica atmosferica barometrico atmosferico luftdruck barometerdruck",
    "pressure": "pressure press pres druck pression pressione presion pressao druk tryck cisnienie "
    "prs",
    "absolute": "absolute abs absolut absolu absolue assoluta assoluto absoluta absoluto",
    "gauge": "gauge relativ relative relativa relativo rel ueberdruck uberdruck",
    "temperature": "temperature temp temperatur temperatura tmp temperatuur",
    "ignition": "ignition ign spark zuendung zundung zuend zund allumage accensione encendido "
    "ontsteking ignicao tandning zaplon",
    "advance": "advance timing angle zeitpunkt winkel avance anticipo avanzamento voreilung kat",
    "knock": "knock knocking klopf klopfen cliquetis detonazione detonacion picado kloppen ping "
    "battito detonation",
    "retard": "retard reduction retardation ruecknahme rucknahme spaetverstellung spatverstellung "
    "retrait riduzione ritardo retraso correction korrektur korr correzione correccion corr",
    "level": "level signal pegel niveau livello nivel noise intensity amplitude",
    "intake": "intake inlet ansaug admission aspirazione admision aspiracion inlaat insug int "
    "admissao",
    "charge": "charge ladeluft intercooler aftercooler ladeluftkuehler ladeluftkuhler postcooler "
    "echangeur llk",
    "air": "air luft aria aire lucht ar powietrze",
    "compressor": "compressor verdichter compresseur compressore compresor",
    "outlet": "outlet out discharge austritt sortie uscita salida after nach apres dopo",
    "ambient": "ambient umgebung umgebungs outside outdoor exterieur exterieure ambiante ambiant "
    "ambiente esterna esterno aussen exterior cell room omgeving surroundings raum",
    "humidity": "humidity feuchte luftfeuchte luftfeuchtigkeit humidite umidita humedad "
    "vochtigheid humidade",
    "coolant": "coolant water kuehlmittel kuhlmittel kuehlwasser kuhlwasser wasser eau acqua agua "
    "refrigerante refroidissement liquido liquide koelvloeistof koelwater kylvatten raffreddamento "
    "cool",
    "oil": "oil oel ol huile olio aceite olie oleo olja olej",
    "exhaust": "exhaust abgas echappement scarico escape uitlaat avgas exh turbine",
    "gas": "gas gaz gases abgase",
    "fuel": "fuel kraftstoff carburant carburante combustible benzin essence benzina brandstof "
    "bransle combustivel paliwo gasolina",
    "low": "low niederdruck basse bassa baja feed lift lp vorfoerder vorforder",
    "high": "high rail hochdruck haute alta hp rampe rampa raildruck common",
    "injector": "injector inj injection einspritz einspritzduese einspritzventil injecteur "
    "iniettore inyector injecteurs injectors injektor iniettori",
    "duty": "duty dc dutycycle tastverhaeltnis tastverhaltnis auslastung cyclique ciclo pwm",
    "lambda": "lambda lam lambdawert lamda wideband afr",
    "trim": "trim trims adaption adaptation",
    "short": "short kurzzeit court corto kurz corta",
    "long": "long langzeit lang largo lungo larga",
    "mass": "mass masse massa masa massen massico massica massique",
    "flow": "flow strom durchsatz debit portata caudal flujo massenstrom debiet",
    "wastegate": "wastegate wg wgdc ladedruckventil",
    "turbo": "turbo turbocharger turbolader turbocompresseur turbocompressore lader",
    "torque": "torque tq trq drehmoment moment couple coppia koppel vridmoment binario",
    "vehicle": "vehicle veh fahrzeug vehicule veicolo vehiculo car voertuig fordon auto gps",
    "wheel": "wheel wheels whl rad raddrehmoment roue roues ruota ruote rueda ruedas wiel hjul",
    "roller": "roller rolle rollen dyno drum rouleau rouleaux rullo rulli rodillo rodillos "
    "rollenbank pruefstand prufstand banc",
    "power": "power leistung puissance potenza potencia vermogen effekt pwr",
    "gear": "gear gang rapport marcia marcha versnelling vaxel marchas engaged",
    "battery": "battery batterie batteria bateria vbat vbatt ubat ubatt accu bordnetz batt",
    "voltage": "voltage volt spannung tension tensione tensao",
    "misfire": "misfire misfires aussetzer zuendaussetzer zundaussetzer rates",
    "cylinder": "cylinder cyl zylinder zyl cylindre cilindro cil cilinder",
    "position": "position pos stellung posizione posicion opening oeffnung offnung ouverture "
    "apertura stand angolo",
}
# an abbreviation that stands for several concepts at once
ABBREVIATIONS: Final[dict[str, str]] = {
    "map": "manifold pressure absolute",
    "maf": "air mass flow",
    "iat": "intake air temperature",
    "tia": "intake air temperature",
    "act": "charge air temperature",
    "ect": "coolant temperature",
    "clt": "coolant temperature",
    "cht": "coolant temperature",
    "egt": "exhaust gas temperature",
    "eot": "oil temperature",
    "eop": "oil pressure",
    "rh": "humidity",
    "stft": "fuel trim short",
    "ltft": "fuel trim long",
    "vss": "vehicle speed",
    "lmm": "air mass flow",
    "luftmasse": "air mass",
    "luftmassen": "air mass",
    "airflow": "air flow",
    "cat": "charge air temperature",
}
# words that leave the meaning as it is
_FILLERS: Final = (
    "actual act ist istwert current value val wert valeur valore valor sensor sens sonde bank of "
    "the a an in at de du des d del della delle di da la le les el los l der die das und and "
    "von fuer fur au aux al alla av measured reading messwert mesure misura gemessen channel "
    "filtered percent calculated calc rate term count cycle ecu obd can total main primary"
)
FILLERS: Final = frozenset(_FILLERS.split())
# words that make another thing of what they stand beside: no quantity is proposed
_VETOES: Final = (
    "max maximum maxi min minimum limit limited limiter grenze limite status state valid validity "
    "error err fault fehler errore erreur diff difference delta gradient counter checksum crc flag "
    "warning warn lamp switch enable enabled active activated mode loss idle leerlauf ralenti "
    "minimo consumption verbrauch raw adc test threshold schwelle deviation abweichung quality "
    "toggle parity alive setting cruise transmission getriebe gearbox clutch kupplung brake bremse "
    "steering lenk fan luefter lufter pump pumpe tank range economy average avg durchschnitt "
    "moyenne media"
)
VETOES: Final = frozenset(_VETOES.split())
# quantity -> the sets of concepts that mean it, any one of them
RULES: Final[dict[Quantity, tuple[str, ...]]] = {
    Quantity.ENGINE_SPEED: ("engine speed", "engine rotation", "rotation"),
    Quantity.PEDAL_POSITION: ("pedal",),
    Quantity.THROTTLE_POSITION: ("throttle",),
    Quantity.BOOST_PRESSURE: (
        "boost",
        "boost gauge",
        "turbo pressure",
        "charge pressure",
        "charge air pressure",
    ),
    Quantity.BOOST_TARGET: ("boost target", "turbo pressure target"),
    Quantity.MANIFOLD_PRESSURE: (
        "manifold pressure",
        "intake manifold pressure",
        "intake pressure",
        "boost absolute",
        "manifold absolute",
        "intake air pressure",
    ),
    Quantity.BAROMETRIC_PRESSURE: ("barometric", "ambient pressure", "ambient air pressure"),
    Quantity.IGNITION_TIMING: ("ignition advance", "ignition", "advance"),
    Quantity.IGNITION_TARGET: ("ignition advance target", "ignition target"),
    Quantity.KNOCK_RETARD: ("knock retard", "knock ignition retard", "ignition retard"),
    Quantity.KNOCK_LEVEL: ("knock level", "knock voltage"),
    Quantity.INTAKE_AIR_TEMPERATURE: (
        "intake air temperature",
        "intake temperature",
        "air temperature",
        "intake manifold temperature",
    ),
    Quantity.CHARGE_AIR_TEMPERATURE: (
        "charge temperature",
        "charge air temperature",
        "boost air temperature",
    ),
    Quantity.COMPRESSOR_OUTLET_TEMPERATURE: (
        "compressor outlet temperature",
        "compressor temperature",
        "turbo outlet temperature",
    ),
    Quantity.AMBIENT_TEMPERATURE: ("ambient temperature", "ambient air temperature"),
    Quantity.RELATIVE_HUMIDITY: ("humidity", "humidity gauge", "air humidity"),
    Quantity.COOLANT_TEMPERATURE: (
        "coolant temperature",
        "engine coolant temperature",
        "engine temperature",
    ),
    Quantity.OIL_TEMPERATURE: ("oil temperature", "engine oil temperature"),
    Quantity.OIL_PRESSURE: ("oil pressure", "engine oil pressure"),
    Quantity.EXHAUST_GAS_TEMPERATURE: ("exhaust temperature", "exhaust gas temperature"),
    Quantity.FUEL_PRESSURE_LOW: ("fuel low pressure", "fuel pressure"),
    Quantity.FUEL_PRESSURE_LOW_TARGET: ("fuel low pressure target", "fuel pressure target"),
    Quantity.FUEL_PRESSURE_HIGH: ("fuel high pressure", "high pressure", "high"),
    Quantity.FUEL_PRESSURE_HIGH_TARGET: ("fuel high pressure target", "high pressure target"),
    Quantity.INJECTOR_DUTY: ("injector duty", "injector"),
    Quantity.LAMBDA: ("lambda",),
    Quantity.LAMBDA_TARGET: ("lambda target",),
    Quantity.FUEL_TRIM_SHORT: ("fuel trim short", "trim short"),
    Quantity.FUEL_TRIM_LONG: ("fuel trim long", "trim long"),
    Quantity.AIR_MASS_FLOW: ("air mass flow", "air mass", "air flow", "mass flow"),
    Quantity.WASTEGATE_DUTY: ("wastegate duty", "wastegate"),
    Quantity.TURBO_SPEED: ("turbo speed", "turbo rotation"),
    Quantity.ENGINE_TORQUE: ("engine torque", "torque"),
    Quantity.TORQUE_REQUEST: ("torque target", "engine torque target"),
    Quantity.VEHICLE_SPEED: ("vehicle speed", "speed"),
    Quantity.ROLLER_SPEED: ("roller speed",),
    Quantity.ROLLER_TORQUE: ("roller torque",),
    Quantity.WHEEL_TORQUE: ("wheel torque",),
    Quantity.WHEEL_POWER: ("wheel power", "roller power"),
    Quantity.GEAR: ("gear",),
    Quantity.BATTERY_VOLTAGE: ("battery voltage", "battery"),
    Quantity.MISFIRE_COUNT: ("misfire",),
}
# what each house unit measures; a name that says another dimension means another quantity
DIMENSIONS: Final[dict[str, frozenset[str]]] = {
    "rpm": frozenset({"rotation", "speed"}),
    "km/h": frozenset({"speed"}),
    "kPa": frozenset({"pressure"}),
    "degC": frozenset({"temperature"}),
    "deg": frozenset({"advance"}),
    "g/s": frozenset({"flow", "mass"}),
    "Nm": frozenset({"torque"}),
    "kW": frozenset({"power"}),
    "V": frozenset({"voltage", "level"}),
    "%": frozenset({"duty", "position"}),
    "1": frozenset(),
}
# spellings of units as loggers write them (lower case), and as a map does
UNIT_WORDS: Final[dict[str, str]] = {
    **dict.fromkeys(("u/min", "tr/min", "trs/min", "giri/min", "min-1", "min^-1", "min⁻¹"), "rpm"),
    **dict.fromkeys(("rev/min", "revs/min", "/min", "omw/min", "v/min", "obr/min", "umin"), "rpm"),
    **dict.fromkeys(("celsius", "deg c", "deg. c", "grad c", "º c", "ºc", "° c", "gradc"), "degC"),
    **dict.fromkeys(("fahrenheit", "deg f", "ºf", "° f"), "degF"),
    **dict.fromkeys(("°kw", "°ca", "°crk", "degca", "degcrk", "deg ca", "°btdc", "degbtdc"), "deg"),
    **dict.fromkeys(("degree", "degrees", "grad", "º", "°v.ot", "°vot", "kw v.ot", "°pms"), "deg"),
    **dict.fromkeys(("pct", "prozent", "pourcent", "per cent", "% dc"), "%"),
    **dict.fromkeys(("kg/hr", "kg/hour", "kgh"), "kg/h"),
    **dict.fromkeys(("gps", "g/sec", "gramm/s"), "g/s"),
    **dict.fromkeys(("lbs/min",), "lb/min"),
    **dict.fromkeys(("n.m", "n*m", "newton metre", "newtonmeter", "n-m"), "Nm"),
    **dict.fromkeys(
        ("lbft", "lb-ft", "ft-lb", "ftlb", "lbf·ft", "ft-lbs", "lb.ft", "lbfft"), "lb ft"
    ),
    **dict.fromkeys(("kmh", "km/hr", "kmph", "km/std"), "km/h"),
    **dict.fromkeys(("volt", "volts"), "V"),
    **dict.fromkeys(("λ", "lambda", "lam", "none", "n/a", "count"), "1"),
    **dict.fromkeys(("afr", "a/f", "afr:1", ":1"), "AFR"),
    **dict.fromkeys(("psig", "lb/in2", "lbs/in2"), "psi"),
    **dict.fromkeys(("bhp",), "hp"),
    **dict.fromkeys(("kilopascal",), "kPa"),
}
