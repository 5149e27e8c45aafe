# Was pullwatch sagt, auf Deutsch; en.ftl nennt die Regeln.

as-written = { $text }
joint-and = { $rest } und { $last }

## Warum ein Kandidat kein Lauf ist

refused-not-running = der Motor lief nicht: { $speed } am Anfang
refused-no-sweep = kein Hochlauf: die Drehzahl stieg in { $duration } Volllast um { $rise }, ein Lauf braucht { $needed }
refused-short-rise-without-pedal = die Drehzahl stieg in { $duration } um { $rise }; ohne Pedal- oder Drosselklappenkanal gelten nur { $needed } in mindestens { $shortest } als Lauf
refused-not-to-top-speed = ohne Pedal-, Drosselklappen- oder Rollenkanal gilt nur ein Anstieg bis nahe an die Höchstdrehzahl als Lauf (Höchstdrehzahl in der Stationsdatei angeben)
refused-pulling-away = der Anstieg begann bei { $speed }: ohne Pedal- oder Drosselklappenkanal gilt das als Anfahren
refused-too-short = zu kurz: Volllast bei steigender Drehzahl für { $duration }, ein Lauf braucht { $needed }
refused-road-stood-still = Hochdrehen ohne Last: die Drehzahl stieg auf { $speed }, während { $road } stand
refused-road-fell-behind = Hochdrehen ohne Last oder rutschende Kupplung: die Drehzahl stieg um { $engine }, { $road } nur um { $road-rise }
refused-too-steep = Hochdrehen ohne Last: die Drehzahl stieg mit { $slope }, schneller als ein Auto im Gang oder eine Rolle folgen kann
refused-speed-held = kein Hochlauf: die Drehzahl wurde gehalten
refused-never-fully-open = { $demand } war nicht voll offen: nach dieser Sitzung ist voll offen { $full }
refused-partly-open = { $demand } war während des Anstiegs meist nur teilweise offen: ohne Pedalkanal gilt das als Teillast
refused-throttle-open-without-load = der Drosselklappenkanal steht ohne Last offen: das ist nicht die Drosselklappe des Fahrers
refused-intake-flap = { $channel } verhält sich nicht wie eine Drosselklappe: offen für { $open }, während der Motor im Leerlauf lief oder langsamer wurde (eine Ansaugklappe?). Der Kanal wird nicht verwendet; bitte das Pedal zuordnen

## Was eine Sitzung für einen Lauf bringen muss

no-pull-without-engine-speed = ohne Drehzahl ist kein Lauf zu finden: die Zuordnung braucht einen Kanal engine_speed
no-pull-engine-speed-silent = ohne Drehzahl ist kein Lauf zu finden: die Zuordnung braucht einen Kanal engine_speed; stumm: { $channels }
no-pull-without-demand = ohne Fahrerwunsch ist kein Lauf zu finden: die Zuordnung braucht pedal_position (am besten), throttle_position, manifold_pressure oder boost_pressure
no-pull-demand-silent = ohne Fahrerwunsch ist kein Lauf zu finden: die Zuordnung braucht pedal_position (am besten), throttle_position, manifold_pressure oder boost_pressure; stumm: { $channels }

## Wie die Grenzen eines Laufs gefunden wurden

note-demand-from-pressure = kein Pedal- oder Drosselklappenkanal: Volllast wurde aus { $demand } und dem Anstieg der Drehzahl erkannt
note-demand-from-throttle = kein Pedalkanal: die Drosselklappe wurde als Fahrerwunsch genommen
note-full-learned = voll offen ist { $full } bei { $channel }, aus dieser Sitzung gelernt
note-session-begins-inside = die Sitzung beginnt mitten in diesem Lauf
note-channel-slow = { $channel } kommt nur alle { $every }
note-engine-speed-slow = die Drehzahl kommt nur alle { $every }
note-engine-speed-missing = in diesem Lauf fehlt die Drehzahl für { $gap }

## Messgrößen

quantity-engine-speed = Motordrehzahl
quantity-pedal-position = Pedalstellung
quantity-throttle-position = Drosselklappe
quantity-boost-pressure = Ladedruck
quantity-boost-target = Ladedruck-Sollwert
quantity-manifold-pressure = Saugrohrdruck
quantity-barometric-pressure = Luftdruck
quantity-ignition-timing = Zündwinkel
quantity-ignition-target = Zündwinkel-Sollwert
quantity-knock-retard = Zündwinkelrücknahme
quantity-knock-level = Klopfpegel
quantity-intake-air-temperature = Ansauglufttemperatur
quantity-charge-air-temperature = Ladelufttemperatur
quantity-compressor-outlet-temperature = Verdichteraustrittstemperatur
quantity-ambient-temperature = Umgebungstemperatur
quantity-relative-humidity = Relative Luftfeuchte
quantity-coolant-temperature = Kühlmitteltemperatur
quantity-oil-temperature = Öltemperatur
quantity-oil-pressure = Öldruck
quantity-exhaust-gas-temperature = Abgastemperatur
quantity-fuel-pressure-low = Kraftstoffniederdruck
quantity-fuel-pressure-low-target = Kraftstoffniederdruck-Sollwert
quantity-fuel-pressure-high = Kraftstoffhochdruck
quantity-fuel-pressure-high-target = Kraftstoffhochdruck-Sollwert
quantity-injector-duty = Einspritzventil-Auslastung
quantity-lambda = Lambda
quantity-lambda-target = Lambda-Sollwert
quantity-fuel-trim-short = Kurzzeit-Gemischkorrektur
quantity-fuel-trim-long = Langzeit-Gemischkorrektur
quantity-air-mass-flow = Luftmassenstrom
quantity-wastegate-duty = Wastegate-Tastverhältnis
quantity-turbo-speed = Turboladerdrehzahl
quantity-engine-torque = Motordrehmoment
quantity-torque-request = Drehmomentanforderung
quantity-vehicle-speed = Fahrgeschwindigkeit
quantity-roller-speed = Rollengeschwindigkeit
quantity-roller-torque = Rollendrehmoment
quantity-wheel-torque = Raddrehmoment
quantity-wheel-power = Radleistung
quantity-gear = Gang
quantity-battery-voltage = Bordspannung
quantity-misfire-count = Zündaussetzer

## Warnungen während des Laufs

alert-watched-knock-retard = Zündwinkelrücknahme durch Klopfen
alert-watched-lambda-above-target = Lambda über dem Sollwert
alert-watched-lambda = Lambda
alert-watched-boost-above-target = Ladedruck über dem Sollwert
alert-watched-low-fuel-pressure-short = Kraftstoffniederdruck unter dem Sollwert
alert-watched-high-fuel-pressure-short = Kraftstoffhochdruck unter dem Sollwert
alert-watched-coolant-temperature = Kühlmitteltemperatur
alert-watched-oil-temperature = Öltemperatur
alert-watched-exhaust-temperature = Abgastemperatur
alert-of-cylinder = { $watched }, Zylinder { $cylinder }
alert-over = { $watched }: vorbei
alert-beyond = { $watched }: { $value }, Grenze { $limit }
alert-beyond-at = { $watched }: { $value } bei { $speed }, Grenze { $limit }
alert-beyond-again = { $watched }: wieder { $value }, Grenze { $limit }
alert-beyond-again-at = { $watched }: wieder { $value } bei { $speed }, Grenze { $limit }
alert-kind-knock-retard = Zündwinkelrücknahme
alert-kind-lean-under-boost = mageres Gemisch unter Ladedruck
alert-kind-over-boost = zu hoher Ladedruck
alert-kind-low-fuel-pressure = zu niedriger Kraftstoffdruck
alert-kind-overheating = Überhitzung
alert-kind-source-silent = stumme Quelle
alert-kind-blind = fehlender Kanal
alert-blind-map = blind: der Zuordnung fehlen Kanäle für: { $kinds }; diese Warnungen können nicht kommen
alert-blind-map-seen = was die Zuordnung auslässt, wurde zur Kenntnis genommen
alert-source-silent = Quelle { $source } sendet seit { $silence } nichts, während ein Lauf läuft
alert-source-never-heard = Quelle { $source } hat noch gar nichts gesendet, und ein Lauf läuft
alert-blind-source = blind: Quelle { $source } sendet seit { $silence } nichts, die Warnungen ihrer Kanäle können nicht kommen
alert-blind-source-never-heard = blind: Quelle { $source } hat noch gar nichts gesendet, die Warnungen ihrer Kanäle können nicht kommen
alert-blind-channel = blind: { $channel } sendet seit { $silence } nichts, seine Warnungen können nicht kommen
alert-blind-channel-never-heard = blind: { $channel } hat noch gar nichts gesendet, seine Warnungen können nicht kommen
alert-blind-pulls = blind: { $reason }
alert-back = { $what } sendet wieder
alert-pulls-found-again = Läufe sind wieder zu finden

## Was eine Änderung an der Leistung bewirkt hat

gain-peak-more-than-spread = Die Spitzenleistung am Rad änderte sich um { $change } (95 %: { $low-number } bis { $high }), mehr als die Streuung von Lauf zu Lauf.
gain-peak-within-spread = Die Spitzenleistung am Rad änderte sich um { $change } (95 %: { $low-number } bis { $high }), nicht mehr als die Streuung von Lauf zu Lauf.
gain-peak-unsettled = Die Spitzenleistung am Rad änderte sich um { $change } (95 %: { $low-number } bis { $high }), nicht mehr als die Streuung von Lauf zu Lauf; { $settle }.
gain-mean-more-than-spread = Die mittlere Leistung über die gemeinsamen Drehzahlen änderte sich um { $change } (95 %: { $low-number } bis { $high }), mehr als die Streuung von Lauf zu Lauf.
gain-mean-within-spread = Die mittlere Leistung über die gemeinsamen Drehzahlen änderte sich um { $change } (95 %: { $low-number } bis { $high }), nicht mehr als die Streuung von Lauf zu Lauf.
gain-too-small-to-settle = auch { $pulls } Läufe jeder Stufe würden einen so kleinen Unterschied nicht zeigen
gain-settled-by-more-pulls = etwa { $pulls } { $pulls ->
    [one] weiterer Lauf
   *[other] weitere Läufe
 } jeder Stufe würden es klären
gain-interval-alone-claims-nothing = Ein Intervall, das für sich allein die Null ausschließt, beweist hier nichts: von mehreren Werten einer ganzen Kurve tut das einer auch zufällig, und die Kurven unterscheiden sich nicht stärker als ihre Läufe.
gain-stretch = { $low-number } bis { $high }
gain-where = Die Kurven unterscheiden sich um mehr als die Streuung von Lauf zu Lauf bei { $stretches }; am meisten bei { $speed }, um { $change-number } ± { $half-width }.
gain-still-rises = Bei { $speed }, dem Ende der gemeinsamen Drehzahlen, steigt die Leistung noch: verglichen werden die Spitzen bis dorthin.
spread-pooled = Die Streuung von Lauf zu Lauf stammt aus { $stages } Stufen dieses Auftrags, { $pulls } Läufe.
left-out-incomplete = Lauf { $pull } von { $stage } ist unvollständig und bleibt außer Betracht.
left-out-other-gear = Lauf { $pull } von { $stage } ist in einem anderen Gang und bleibt außer Betracht.
not-assessable-few-pulls = Nicht zu beurteilen: { $pulls } { $pulls ->
    [one] brauchbarer Lauf
   *[other] brauchbare Läufe
 } von { $stage }, eine Streuung braucht mindestens { $fewest }.
not-assessable-without-dyno = Nicht zu beurteilen: nicht jeder Lauf hat Daten des Prüfstands.
not-assessable-short-overlap = Nicht zu beurteilen: die Läufe haben weniger als { $shortest } gemeinsam, und eine Kurve wird nicht verlängert.
heat-charge-air = Die Ladeluft
heat-intake-air = Die Ansaugluft
heat-explained-by-boost = { $air } war in der oberen Hälfte der gemeinsamen Drehzahlen um { $warmer } wärmer; { $boost } mehr Ladedruck erklären das: Verdichter und Ladeluftkühler machen davon { $least-number } bis { $most } aus.
heat-beyond-boost = { $air } war in der oberen Hälfte der gemeinsamen Drehzahlen um { $warmer } wärmer; { $boost } mehr Ladedruck erklären davon höchstens { $most }. Der Rest ist Aufheizung, das Gebläse, der Kühler oder ein wärmerer Raum.

## Was sich zwischen zwei Stufen sonst unterschied

differed-gear = Der Motor dreht bei gleicher Rollengeschwindigkeit { $change }: ein anderer Gang; das an der Rolle gelesene Drehmoment ändert sich ebenso.
differed-slip = Der Motor dreht bei gleicher Rollengeschwindigkeit { $change }: Schlupf von Reifen oder Kupplung; das an der Rolle gelesene Drehmoment ändert sich ebenso.
differed-slip-in-pull-of-first = Räder oder Kupplung rutschten in Lauf { $pull } der ersten Stufe um bis zu { $slip }: seine Leistung steht dort bei falscher Drehzahl; wiederholen oder weglassen.
differed-slip-in-pull-of-second = Räder oder Kupplung rutschten in Lauf { $pull } der zweiten Stufe um bis zu { $slip }: seine Leistung steht dort bei falscher Drehzahl; wiederholen oder weglassen.
differed-method = Die Leistung wurde nicht in jedem Lauf auf dieselbe Weise bestimmt ({ $methods }): ein Teil des Unterschieds kann daher kommen.
differed-ramp = Die Rampe war { $before }, dann { $after }: ein Motor mit { $inertia } behält allein dadurch { $kept } für sich.
differed-air = Die Luft war verschieden: { $standard } würde dafür { $change } ansetzen ({ $before }, dann { $after }).
differed-air-unknown = Nicht von jedem Lauf ist die Luft (Druck und Temperatur) bekannt: was das Wetter an der Leistung änderte, ist von der Wirkung der Änderung nicht zu trennen.
differed-intake-air-at-start = Ansaugluft zu Beginn des Hochlaufs: { $before }, dann { $after }.
differed-charge-air-at-start = Ladeluft zu Beginn des Hochlaufs: { $before }, dann { $after }.
differed-coolant-at-start = Kühlmittel zu Beginn des Hochlaufs: { $before }, dann { $after }.
differed-oil-at-start = Öl zu Beginn des Hochlaufs: { $before }, dann { $after }.
differed-heat-soak-in-first = Aufheizung in der ersten Stufe: die Ansaugluft begann im letzten Lauf um { $hotter } wärmer als im ersten.
differed-heat-soak-in-second = Aufheizung in der zweiten Stufe: die Ansaugluft begann im letzten Lauf um { $hotter } wärmer als im ersten.

## Wie die Leistung gemessen wurde

method-wheel-power-sent = Radleistung, wie die Prüfstandssteuerung sie sendet
method-wheel-torque-sent = Raddrehmoment, auf die Motordrehzahl bezogen, wie die Prüfstandssteuerung es sendet
method-roller-inertia = Rollengeschwindigkeit, Trägheit
method-roller-inertia-and-brake = Rollengeschwindigkeit, Trägheit und Bremsmoment
smoothing = lokales kubisches Polynom über { $window }, mittig (ohne Verzug); verschiebt die Spitze um etwa { $shift }
smoothing-moved-peak = Die Spitze ist verrauscht oder sehr scharf: die Glättung kann sie um { $shift } verschoben haben.
loss-percent-of-wheel = Motorwerte sind Radwerte mit { $added } der Radleistung als Zuschlag; das heißt, dass { $lost } der Motorleistung verloren gehen (übliche Praxis, keine veröffentlichte Quelle); ein fester Prozentsatz vergrößert auch jeden Zuwachs ebenso.
loss-percent-of-engine = Motorwerte nehmen an, dass { $lost } der Motorleistung auf dem Weg zur Rolle verloren gehen (übliche Praxis, keine veröffentlichte Quelle); ein fester Prozentsatz vergrößert auch jeden Zuwachs.
loss-coast-down = Motorwerte enthalten die im Ausrollversuch bei gleicher Geschwindigkeit gemessenen Verluste; Verluste, die mit dem Drehmoment wachsen (Getriebe, Reifenschlupf), sind nicht enthalten.
loss-none = Die Werte gelten am Rad: kein Verlust ist hinzugerechnet.
correction = { $parts }.
correction-made-for-air = { $standard }: Faktor { $factor } für { $pressure } und { $temperature }, ohne Luftfeuchte
correction-made-for-humid-air = { $standard }: Faktor { $factor } für { $pressure } und { $temperature } bei { $humidity } Luftfeuchte ({ $dry } trocken)
correction-outside = außerhalb der Grenzen der Norm: { $what }
correction-factor-outside = Faktor { $value } liegt nicht zwischen { $low } und { $high }
correction-temperature-outside = Temperatur { $value } liegt nicht zwischen { $low-number } und { $high }
correction-dry-pressure-outside = trockener Luftdruck { $value } liegt nicht zwischen { $low-number } und { $high }
correction-closed-loop = hier korrigiert er zu viel: die Ladedruckregelung gleicht die Luft bereits aus, ein Faktor würde das doppelt zählen (UN R85 Ergänzung 7 hat diese doppelte Korrektur entfernt)
correction-lacks = Kein Faktor nach { $standard }: es fehlt { $inputs }.
correction-sae-diesel = Kein Faktor nach SAE J1349: SAE J1349 gibt seine Formel für Fremdzündung und nennt die Dieselfaktoren für die meisten Motoren mit heutiger Regelung nicht mehr angemessen.
uncorrected-closed-loop = Unkorrigiert: die Ladedruckregelung gleicht die Luft bereits aus, ein Faktor würde das doppelt zählen (UN R85 Ergänzung 7 hat diese doppelte Korrektur entfernt).
uncorrected-as-asked = Unkorrigiert, wie die Stationsdatei es verlangt: wie in der Luft des Tages gemessen.
air-barometric-pressure = Luftdruck
air-temperature = Lufttemperatur
air-relative-humidity = relative Luftfeuchte
air-temperature-from-intake = Die Lufttemperatur stammt vom Ansaugluftfühler des Autos, den Aufheizung anhebt: 10 K zu viel sind 2 % zu viel korrigierte Leistung in trockener und 4 % in feuchter Luft.
air-pressure-is-the-standard-value = Der Luftdruck ist der Normwert auf Meereshöhe, kein Messwert dieser Station.
air-pressure-impossible = Ein Luftdruck von { $pressure } ist in keiner Werkstatt möglich.
air-pressures-differ = Die Stationsdatei sagt { $given }, der Kanal { $measured }: ein Wetterdienst nennt den Druck auf Meereshöhe, das ist nicht der der Station; verwendet wurde der Kanal (übliche Praxis, keine veröffentlichte Quelle).
air-pressure-perhaps-sea-level = Der Luftdruck { $pressure } liegt { $over } über dem Normwert für { $altitude }. Stammt er von einem Wetterdienst oder einem auf Meereshöhe eingestellten Gerät, ist es der Druck auf Meereshöhe, und an der Station wären es { $here }.
road-estimate = Geschätzt aus { $mass }, die auf ebener Straße schneller werden, mit Rollwiderstand und Luftwiderstand eines typischen Autos (übliche Praxis, keine veröffentlichte Quelle), zu 95 % sicher; kein Ersatz für einen Prüfstand, und auf einer Rolle gar keiner.

## Urteile und Warnhinweise

severity-healthy = gesund
severity-look-closer = genauer ansehen
severity-stop = anhalten
severity-note = nicht beurteilt
finding-note = Hinweis
caution-restraint-subject = Verzurrung
caution-restraint = Das Auto an den vom Hersteller erlaubten Punkten verzurren, Gurte und Reifen vor jedem Lauf prüfen, und niemanden vor oder hinter dem Auto stehen lassen.
caution-rotating-parts-subject = Drehende Teile
caution-rotating-parts = Menschen, Haare, Kleidung und Kabel von Rädern, Rollen, Wellen und Riemen fernhalten.
caution-exhaust-gas-subject = Abgas
caution-exhaust-gas = Nur mit Abgasabsaugung und Frischluft laufen lassen; Kohlenmonoxid tötet, ohne zu riechen.
caution-fire-subject = Feuer
caution-fire = Einen geeigneten Feuerlöscher in Reichweite haben und jemanden, der ihn bedienen kann; beim ersten Kraftstoffgeruch anhalten.
caution-hot-parts-subject = Heiße Teile
caution-hot-parts = Auspuff, Turbolader, Bremsen, Kühlmittel und Reifen verbrennen die Haut; vor dem Anfassen abkühlen lassen.
caution-live-alerts-subject = Warnungen während des Laufs
caution-live-alerts = Warnungen während des Laufs sind keine Sicherheitseinrichtung. Sie können zu spät kommen, falsch sein oder fehlen: das Auto beobachten und jederzeit bereit sein, vom Gas zu gehen.
caution-law-subject = Gesetz und Hersteller
caution-law = Das örtliche Recht befolgen (Abgas- und Zulassungsvorschriften können eine Änderung auf der Straße verbieten) und was der Fahrzeughersteller über Last, Reifen und Kühlung sagt.
caution-who-decides-subject = Wer entscheidet
caution-who-decides = Diese Werte und Befunde unterrichten eine geschulte Person; ob das Auto fahrbereit ist, entscheidet, wer dazu befugt ist.

## Der Bericht

report-title = Bericht: { $job }
report-fuel = Kraftstoff: { $fuel }
report-is-it-healthy = Ist der Motor gesund, während er seine Leistung abgibt?
report-explained-healthy = In jedem Lauf, der zählt, war alles in Ordnung, was beurteilt werden konnte.
report-explained-look-closer = Etwas sollte angesehen werden, bevor dem Motor mehr abverlangt wird.
report-explained-stop = Nicht unter Volllast fahren, bis die Ursache gefunden und behoben ist.
report-explained-note = Es konnte zu wenig gemessen werden, um den Motor zu beurteilen.
report-what-changed = Was sich von „{ $before }“ zu „{ $after }“ änderte, Leistung am Rad, unkorrigiert
report-gain = { $change } an der Spitze (zu 95 % sicher zwischen { $low } und { $high }).
report-gain-within-spread = Nicht mehr als die Streuung von Lauf zu Lauf: { $change } an der Spitze (zu 95 % sicher zwischen { $low } und { $high }).
report-gain-unknown = Die Läufe erlauben keine Aussage über die Änderung der Leistung.
report-but = Aber: { $doubt }
report-settings-changed = Die Angaben der Station zu Auto oder Prüfstand waren nicht für alle diese Läufe gleich: jeder ist nach denen beurteilt, die bei ihm galten.
report-no-pull = Zu diesem Auftrag gibt es keinen Lauf, oder keiner zählt.
report-what-was-done = Was gemacht wurde
report-table = Tabelle
report-stage = Stufe
report-pulls-that-count = Läufe, die zählen
report-peak-power = Spitzenleistung am Rad, unkorrigiert
report-by-standard = dasselbe nach { $standard }
report-at-the-engine = am Motor, { $loss }, unkorrigiert
report-peak-torque = Größtes Drehmoment aus der Radleistung, unkorrigiert
report-changed = Geändert: { $what }
report-agreed = Vereinbart:
report-lines-are-means = Die Linien sind die Mittel der Läufe einer Stufe.
report-band = Das getönte Band zeigt, wie weit der Zufall von Lauf zu Lauf den Unterschied verschieben könnte (95 %, über die ganze Kurve zugleich).
report-conditions = Bedingungen
report-air-pressure = Luftdruck am Prüfstand
report-air-temperature = Lufttemperatur
report-humidity = Relative Luftfeuchte
report-air-origin = Herkunft dieser Werte
report-value = { $value }
report-range = { $low } bis { $high }
report-days = { $first } bis { $last }
report-how-the-engine-is = Wie es dem Motor geht
report-looked-at = Was angesehen wurde
report-seen = Was zu sehen war
report-of-stage = { $stage }: { $seen }
report-fine = in jeder Stufe, in der es beurteilt werden konnte: { $checks }.
report-unjudged = mit den Sensoren dieses Autos und Prüfstands: { $checks }.
report-how-to-read = Wie die Werte zu lesen sind
report-power-comes-from = Grundlage der Leistung: { $method }.
report-smoothing = Glättung: { $smoothing }.
report-not-to-be-compared = Werte verschiedener Prüfstände, Tage oder Korrekturen dürfen nicht miteinander verglichen werden.
report-cautions = Warnhinweise
report-sign-off = Unterschrift
report-content = Inhalt { $hash }.
report-calibrator-signs = Applikateur, Datum
report-customer-signs = Kunde, Datum
report-annex = Technischer Anhang
report-against = Gegen { $stage }
report-what-else-differed = Was sich sonst unterschied:
report-pull = Lauf { $number }
report-sweep = { $low-number } bis { $high } in { $duration }, beendet durch: { $ended }
report-incomplete = unvollständig
report-does-not-count = Zählt nicht: { $why }
report-before-it-began = Bevor er begann.
report-check = Prüfung
report-severity = Urteil
report-finding = Befund
report-value-of-finding = Wert
report-limit = Grenze
report-limit-origin = Herkunft der Grenze
report-cause = Ursache: { $cause } (zu { $sure } % sicher).
report-settled-by = Klarheit bringt: { $how }
report-corrections = Korrekturen dieses Laufs (Leistung mal Faktor):
report-power-table = Leistung am Rad, unkorrigiert, { $unit }
report-turbocharger = Turbolader
report-compressor-drawn = Jeder Lauf, der zählt, soweit sein Ladedruck einen Verdichter braucht. Als Eintritt gilt die Umgebung, als Austritt das Saugrohr: Filter und Ladeluftkühler verdecken ein bis zwei Zehntel im Druckverhältnis, der Verdichter arbeitet also etwas höher als gezeichnet.
report-refused = Kandidaten, die kein Lauf waren
report-refused-candidate = { $start-number } bis { $end } der Sitzung { $session }: { $reason }
chart-engine-speed = Motordrehzahl in 1/min
chart-power = Leistung am Rad, unkorrigiert
chart-power-every-pull = Leistung am Rad, unkorrigiert, jeder Lauf
chart-compressor = Im Verdichterkennfeld
chart-air-flow = Luftmassenstrom in g/s, auf den Bezug des Kennfelds umgerechnet
chart-pressure-ratio = Druckverhältnis
chart-surge-line = Pumpgrenze
chart-turbo-speed-lines = Linien gleicher Laderdrehzahl, { $low-number } bis { $high }
loss-convention-at-the-wheel = am Rad
loss-convention-percent-of-wheel-power-added = Zuschlag in Prozent der Radleistung
loss-convention-percent-of-engine-power-lost = Verlust in Prozent der Motorleistung
loss-convention-measured-coast-down = gemessener Ausrollversuch

## Ein Lauf in einer Zeile

headline-healthy = Nichts gefunden, was nicht sein sollte.
headline-too-little-seen = Es war zu wenig zu sehen, um ihn zu beurteilen.
