# Was pullwatch sagt, auf Deutsch; en.ftl nennt die Regeln.

as-written = { $text }
joint-and = { $rest } und { $last }

## Where in a pull

where-between = zwischen { $low-number } und { $high }
where-at = bei { $speed }
where-time = von { $start-number } bis { $end }

## Titles of the checks

check-throttle = Drosselklappe
check-ignition = Zündung und Klopfen
check-boost = Ladedruck
check-turbo = Turbolader
check-air-and-torque = Luft und Drehmoment
check-air-temperatures = Lufttemperaturen
check-fuel-supply = Kraftstoffversorgung
check-mixture = Gemisch
check-engine-temperatures = Motortemperaturen und -drücke
check-drive = Antrieb
check-data-quality = Daten
check-evidence = Was beurteilt wurde

## Throttle

throttle-closed = Die Drosselklappe schloss { $where } für { $duration } auf { $least } der vollen Öffnung, während das Fahrpedal durchgetreten war.
throttle-just-before = Kurz davor: { $seen }.
throttle-no-reason = Nichts Aufgezeichnetes sagt, weshalb.
throttle-often = Das geschah { $times }-mal; dies ist das tiefste Schließen.
throttle-before-over-boost = Ladedruck { $over } über seinem Soll
throttle-before-short-rail = Kraftstoffhochdruck { $short } unter seinem Soll
throttle-before-short-low-side = Kraftstoffniederdruck { $short } unter seinem Soll
throttle-before-knock = Zündwinkelrücknahme von { $retard } wegen Klopfens
throttle-before-torque-cut = Drehmomentanforderung von { $first-number } auf { $last } gefallen
throttle-diesel-flap = Nicht beurteilt: Die Klappe eines Dieselmotors steht bei { $opened }.
throttle-never-open = Die Drosselklappe öffnete bei Vollgas nie über { $opened }; eine Klappe, die öffnen darf, erreicht mindestens { $limit }.
throttle-stayed-open = Die Drosselklappe blieb von { $start-number } bis { $end } offen.
throttle-stayed-open-raw = Die Drosselklappe blieb von { $start-number } bis { $end } offen (ganz offen zeigt sie { $opened }).

## Ignition and knock

ignition-one-cylinder = Zylinder { $cylinder }: Zündwinkelrücknahme bis zu { $retard } { $where }; bei den anderen höchstens { $others }.
ignition-one-cylinder-alone = Zylinder { $cylinder }: Zündwinkelrücknahme bis zu { $retard } { $where }; bei den anderen keine.
ignition-all-cylinders = Alle Zylinder gleichermaßen: Zündwinkelrücknahme der Klopfregelung bis zu { $retard } { $where }.
ignition-whole-engine = Gesamter Motor: Zündwinkelrücknahme der Klopfregelung bis zu { $retard } { $where }.
ignition-heat-unknown = Keine Lufttemperatur ist aufgezeichnet; deshalb ließ sich nichts davon mit Wärme erklären.
ignition-heat-explains = { $air }, heißer als { $usual }, erklärt davon { $explained }.
ignition-fixed = Jeder Zylinder trägt durchgehend die gleiche Zündwinkelrücknahme von { $retard }.
ignition-fixed-why = Klopfen kommt in Stufen; ein Wert, der sich nie bewegt, ist eine Klopfregelung ohne ihren Sensor.
ignition-below-target = Der Zündwinkel lag { $where } um { $short } unter seinem Soll, über die Rücknahme der Klopfregelung hinaus: ein Momenteneingriff oder eine andere Korrektur.
ignition-misfires = { $misfires ->
    [one] { $misfires-number } Zündaussetzer wurde { $where } gezählt.
   *[other] { $misfires-number } Zündaussetzer wurden { $where } gezählt.
    }
ignition-nothing-taken = Von { $start-number } bis { $end } wurde die Zündung bei keinem Zylinder zurückgenommen.
ignition-given-back = Die Klopfregelung nahm die Zündung um höchstens { $retard } zurück, bei { $speed }, und gab sie wieder frei; kein Zylinder fällt auf.
ignition-given-back-cylinder = Die Klopfregelung nahm die Zündung um höchstens { $retard } zurück (Zylinder { $cylinder }), bei { $speed }, und gab sie wieder frei; kein Zylinder fällt auf.
ignition-compression = Ein Motor mit Selbstzündung hat keine Klopfregelung.
ignition-knock-not-judged = Klopfen nicht beurteilt. Dafür nötig: Zündwinkelrücknahme.

## Charge air

charge-air = Ladeluft
charge-air-first-word = Ladeluft
intake-air = Ansaugluft
intake-air-first-word = Ansaugluft
usual-heat-start = zu Beginn dieses Laufs
usual-heat-ambient = { $rise } über Umgebung
usual-heat-earlier = im kühlsten Lauf davor

## Boost

boost-below-target = Der Ladedruck blieb { $where } um bis zu { $short } unter seinem Soll ({ $boost } statt der angeforderten { $target }).
boost-over-target = Der Ladedruck ging { $where } um bis zu { $over } (bezogen auf Überdruck) über sein Soll: { $boost } statt der angeforderten { $target }.
boost-turbo-limit = Die Grenze dieses Turboladers: { $limit }.
boost-swings = Der Ladedruck schwang { $where } um { $swing } von Spitze zu Spitze um sein Soll, { $rate-number }-mal in der Sekunde.
boost-followed = Der Ladedruck folgte seinem Soll auf { $error } genau: { $top } bei { $top-speed }, { $last } bei { $last-speed }.
boost-derived = Der Ladedruck ist der Saugrohrdruck abzüglich des für die Luft des Prüfstands angegebenen Luftdrucks von { $barometric }.
boost-no-barometer = Nicht beurteilt. Dafür nötig: Luftdruck, um aus dem Saugrohrdruck den Ladedruck zu bilden.
boost-not-judged = Nicht beurteilt: { $why }.
boost-not-asked-for = in diesem Lauf wurde kein Ladedruck angefordert
boost-too-few-samples = zu wenige Messwerte des Ladedrucks
boost-no-time = der Lauf war zu Ende, bevor der Ladedruck Zeit hatte, sein Soll zu erreichen

## Turbo

turbo-efficiency = Das Druckverhältnis des Verdichters ging bis { $top }; im letzten Drittel unter Ladedruck ergab er { $ratio } und { $outlet }, ein Wirkungsgrad von etwa { $efficiency }.
turbo-efficiency-low = Der Verdichteraustritt lag bei { $outlet } für ein gemessenes Druckverhältnis von { $ratio }: ein Wirkungsgrad von { $efficiency }, unter { $limit }.
turbo-efficiency-low-why = Der Verdichter erzeugt ein höheres Druckverhältnis, als die Drücke zeigen.
turbo-air-flow-high = Der gemessene Luftmassenstrom würde die Zylinder zu { $filling } füllen; ein gesunder Motor nimmt höchstens etwa { $limit } dessen auf, was sie bei diesem Druck fassen.
turbo-air-flow-high-why = Luft geht hinter dem Luftmassenmesser verloren oder wird bei Ventilüberschneidung durchgeblasen, oder der Luftmassenmesser zeigt zu viel.
turbo-air-flow-low = Der gemessene Luftmassenstrom füllt die Zylinder bei diesem Saugrohrdruck nur zu { $filling }; ein gesunder Motor nimmt mindestens { $limit } auf.
turbo-air-flow-matches = Druckverhältnis bis { $top }; ab { $speed } passt der Luftmassenstrom zu dem, was die Zylinder aufnehmen.
turbo-too-little-boost = Nicht beurteilt: zu wenig Ladedruck oder zu wenige Messwerte davon, oder der Luftdruck ist nicht bekannt.
turbo-needs = Nicht beurteilt. Dafür nötig: Verdichteraustrittstemperatur oder Luftmassenstrom mit dem Hubraum des Motors.
turbo-torque-short = Das Drehmoment lag { $where } um { $short } unter seiner Anforderung, obwohl Ladedruck, Drosselklappe und Gemisch wie gewünscht waren und Wärme, Klopfen und Aussetzer berücksichtigt sind: Etwas hält es zurück.

## Compressor map

compressor-map-unused = Das Verdichterkennfeld wird nicht verwendet. Dafür nötig: Luftmassenstrom, Saugrohrdruck, Luftdruck und die Temperatur am Eintritt, unter Ladedruck.
compressor-map-efficiency = Nach dem Kennfeld hat der Verdichter entlang dieser Linie einen Wirkungsgrad von { $least } bis { $best }, den besten bei { $speed }.
compressor-map-caution = Luftfilter und Ladeluftkühler verbergen einen Teil des Druckverhältnisses: Der Verdichter arbeitet etwas höher.
compressor-map-settled-by = Den Druck vor und hinter dem Verdichter und seine Drehzahl messen.
compressor-surge-unknown = Pumpen nicht beurteilt: Die Pumpgrenze reicht nicht bis zu diesen Druckverhältnissen.
compressor-surge-far = Im Verdichterkennfeld bleibt der Durchsatz { $margin } über der Pumpgrenze, am nächsten bei { $speed }.
compressor-surge-near = Der Verdichter lief { $where } nur { $margin } über dem Durchsatz an der Pumpgrenze seines Kennfelds.
compressor-surge-beyond = Der Verdichter lief { $where } links der Pumpgrenze seines Kennfelds.
compressor-speed-unknown = Turboladerdrehzahl nicht beurteilt: Der Lauf liegt außerhalb der Drehzahllinien.
compressor-speed-well-measured = Die Turboladerdrehzahl (gemessen) bleibt { $margin } unter der schnellsten Linie des Kennfelds, am nächsten bei { $speed }.
compressor-speed-well-read-off = Die Turboladerdrehzahl (aus dem Kennfeld abgelesen) bleibt { $margin } unter der schnellsten Linie des Kennfelds, am nächsten bei { $speed }.
compressor-speed-near = Der Turbolader drehte { $where } { $margin } unter der schnellsten Linie seines Kennfelds.
compressor-speed-beyond = Der Turbolader drehte { $where } { $margin } über der schnellsten Linie seines Kennfelds.
compressor-speed-beyond-map = Der Turbolader lief { $where } nach Durchsatz und Druckverhältnis jenseits der schnellsten Linie seines Kennfelds.

## Air and torque

air-and-torque-by-controller = Drehmoment des Steuergeräts
air-and-torque-by-dyno = Prüfstand
air-and-torque-air-measured = gemessener Luftmassenstrom
air-and-torque-air-taken = Luftaufnahme der Zylinder bei diesem Druck
air-and-torque-high = Die Leistung (Quelle: { $power }) beträgt { $where } mindestens { $share } dessen, was die Luft hergeben kann (Quelle: { $air }).
air-and-torque-high-why = Eine der beiden Skalen ist falsch: Kein Motor macht mehr aus seiner Luft.
air-and-torque-low = Die Leistung (Quelle: { $power }) beträgt { $where } höchstens { $share } dessen, was die Luft in einem gesunden Motor hergibt (Quelle: { $air }); Zündwinkelrücknahme und Aussetzer sind berücksichtigt.
air-and-torque-low-why = Hinter dem Luftmassenmesser verlorene Luft, späte Zündung, eine schließende Drosselklappe oder Schlupf würden es erklären; ohne sie ist eine der beiden Skalen falsch.
air-and-torque-fits = Die Leistung (Quelle: { $power }) beträgt etwa { $share } dessen, was die Luft hergibt (Quelle: { $air }): Beide passen zusammen.
air-and-torque-fits-between = Die Leistung (Quelle: { $power }) beträgt { $least-number } bis { $most } dessen, was die Luft hergibt (Quelle: { $air }; die Spanne lassen Verluste, Füllung, Klopfen und Aussetzer offen): Beide passen zusammen.
air-and-torque-settled-by = Den Luftmassenmesser an einem stationären Punkt mit der Luftmasse aus Druck und Drehzahl vergleichen; die Trägheit der Rolle und die Skalierung des Drehmomentkanals in der Kanalliste prüfen.
air-and-torque-too-short = Nicht beurteilt: Der Lauf ist zu kurz.
air-and-torque-needs-air = Nicht beurteilt. Dafür nötig: Luftmassenstrom, oder Saugrohrdruck und Ladelufttemperatur mit dem Hubraum.
air-and-torque-needs-lambda = Nicht beurteilt. Dafür nötig: Lambda; die Luft eines Dieselmotors allein sagt nicht, wie viel Kraftstoff er verbrennt.
air-and-torque-no-flow = Nicht beurteilt: Der Luftmassenmesser zeigt keinen Durchsatz.
air-and-torque-needs-power = Nicht beurteilt. Dafür nötig: Motordrehmoment, oder ein Prüfstand mit bekannter Trägheit und bekanntem Radius.

## Air temperatures

air-temperatures-hot = Die { $air } erreichte { $top } (die Grenze liegt bei { $limit }).
air-temperatures-hot-over-ambient = Die { $air } erreichte { $top } ({ $over } über Umgebung; die Grenze liegt bei { $limit }).
air-temperatures-cooler = Der Ladeluftkühler brachte die Luft an der heißesten Stelle von { $outlet-number } auf { $charge } (Wirksamkeit { $effectiveness }).
air-temperatures-cooler-weak = Der Ladeluftkühler brachte die Luft von { $outlet-number } auf { $charge }, eine Wirksamkeit von { $effectiveness } bei { $ambient } Umgebungstemperatur; unter { $limit } das Gebläse vor dem Kühler ansehen.
air-temperatures-intake-warm = Die Luft vor dem Verdichter lag { $over } über Umgebung; der Motor saugt warme Luft aus dem Motorraum an.
air-temperatures-heat-soak = Die { $air } begann diesen Lauf bei { $start }, { $hotter } heißer als beim kühlsten Beginn dieser Stufe ({ $coolest }): aufgestaute Wärme; abkühlen lassen.
air-temperatures-went = Die { $air } ging im Lauf von { $start-number } auf { $end }.
air-temperatures-went-over-ambient = Die { $air } ging im Lauf von { $start-number } auf { $end }, höchstens { $over } über Umgebung.
air-temperatures-warm = Warm: Die { $air } ging im Lauf von { $start-number } auf { $end }.
air-temperatures-warm-why = Kein Fehler, aber nur mit Läufen bei etwa gleicher Temperatur vergleichen.
air-temperatures-not-logged = Nicht beurteilt: Keine Lufttemperatur wurde aufgezeichnet.
