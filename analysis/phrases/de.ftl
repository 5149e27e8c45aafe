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
note-begins-late = der Anfang fehlt: Die Motordrehzahl kam erst ab { $speed }
note-begins-behind-silence = der Anfang fehlt: Die Motordrehzahl blieb { $silence } lang aus, bis { $speed }
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
## Where in a pull

where-between = zwischen { $low-number } und { $high }
where-at = bei { $speed }
where-time = von { $start-number } bis { $end }

## Causes: what they are called, and what would settle them

cause-low-octane-fuel = Kraftstoff mit zu niedriger Oktanzahl
cause-low-octane-fuel-settled-by = Mit Kraftstoff bekannter Oktanzahl bei gleicher Ladelufttemperatur wiederholen.
cause-single-cylinder-knock = ein einzelner klopfender Zylinder
cause-single-cylinder-knock-settled-by = Zündkerze und Einspritzventil dieses Zylinders mit denen eines Nachbarn tauschen: Wandert das Klopfen mit einem der beiden, ist er es; wenn nicht, den Zylinder selbst untersuchen.
cause-hot-charge-air = heiße Ladeluft
cause-hot-charge-air-settled-by = Mit dem Gebläse vor dem Ladeluftkühler abkühlen lassen und den Lauf wiederholen.
cause-ignition-intervention = ein Momenteneingriff über die Zündung (Schlupfregelung, Getriebe oder Momentengrenze)
cause-ignition-intervention-settled-by = Momentenanforderung und Zustand von Schlupfregelung und Getriebe aufzeichnen; im Prüfstandsmodus des Fahrzeugs wiederholen.
cause-boost-leak = eine Undichtigkeit im Ladeluftsystem
cause-boost-leak-settled-by = Die Ladeluftstrecke vom Verdichter bis zum Zylinderkopf abdrücken.
cause-wastegate-stuck-open = ein offen klemmendes Wastegate
cause-wastegate-stuck-open-settled-by = Das Wastegate von Hand oder mit der Unterdruckpumpe bewegen; seine Vorspannung prüfen. Kraftstoffversorgung, Kupplung und Klopfen waren ohne Ladedruck kaum belastet: nach dem nächsten Lauf beurteilen.
cause-wastegate-stuck-closed = ein geschlossen klemmendes Wastegate
cause-wastegate-stuck-closed-settled-by = Das Wastegate von Hand oder mit Druck bewegen; vor dem nächsten Lauf seinen Schlauch und sein Ventil prüfen.
cause-turbo-overspeed = ein Turbolader über seiner Drehzahlgrenze
cause-turbo-overspeed-settled-by = Ladedruck bei diesen Drehzahlen senken und wiederholen; zuerst Filter und Ladeluftrohre prüfen.
cause-belt-slip = ein rutschender Laderriemen
cause-belt-slip-settled-by = Riemen auf Verglasung und Spannung prüfen, dann wiederholen.
cause-boost-oscillation = eine schwingende Ladedruckregelung
cause-boost-oscillation-settled-by = Mit festem Tastverhältnis wiederholen: Schwingt es weiter, ist es mechanisch.
cause-restricted-intake = ein verengter Ansaugweg
cause-restricted-intake-settled-by = Ohne Luftfilter wiederholen oder den Druck vor dem Turbolader messen.
cause-restricted-exhaust = ein verengter Abgasweg
cause-restricted-exhaust-settled-by = Den Abgasgegendruck vor dem Katalysator messen oder mit offenem Abgasweg wiederholen.
cause-weak-low-pressure-fuel-pump = eine schwache Niederdruck-Kraftstoffpumpe
cause-weak-low-pressure-fuel-pump-settled-by = Fördermenge und Versorgungsspannung der Pumpe unter Last messen.
cause-weak-high-pressure-fuel-pump = eine schwache Hochdruck-Kraftstoffpumpe
cause-weak-high-pressure-fuel-pump-settled-by = Mit aufgezeichnetem Niederdruck wiederholen: Hält er, ist es die Hochdruckpumpe.
cause-injector-limit = Einspritzventile an ihrer Grenze
cause-injector-limit-settled-by = Mit weniger Ladedruck wiederholen: Erholt sich das Gemisch, sind es die Einspritzventile.
cause-fuel-quantity-error = eine Kraftstoffmenge, die nicht zur Luft passt (Einspritzventile, ihre Kennlinie oder der Luftmassenmesser)
cause-fuel-quantity-error-settled-by = Den Luftmassenmesser mit der Füllung aus Drehzahl und Dichte vergleichen, die Einspritzventile mit ihren Daten; die Gemischkorrekturen bei Teillast ablesen.
cause-ethanol-content = Kraftstoff mit anderem Ethanolgehalt, als das Steuergerät annimmt
cause-ethanol-content-settled-by = Den Kraftstoff auf Ethanol prüfen oder den Ethanolgehalt des Steuergeräts aufzeichnen.
cause-speed-limiter = ein Drehzahlbegrenzer, der zu früh eingreift
cause-speed-limiter-settled-by = Die Drehzahlgrenzen der Kalibrierung und den Fehlerspeicher lesen; mit warmem Motor wiederholen.
cause-protective-throttle-closure = ein Steuergerät, das den Motor schützt
cause-protective-throttle-closure-settled-by = Die Momentengrenzen des Steuergeräts neben der Drosselklappe aufzeichnen oder seinen Fehlerspeicher lesen.
cause-misfire = Zündaussetzer
cause-misfire-settled-by = Aussetzerzähler je Zylinder aufzeichnen; Zündkerze und Zündspule des Zylinders ansehen.
cause-tyre-slip = Reifenschlupf auf der Rolle
cause-tyre-slip-settled-by = Das Fahrzeug fester verzurren oder in einem höheren Gang wiederholen.
cause-clutch-slip = eine rutschende Kupplung
cause-clutch-slip-settled-by = Mit weniger Pedal oder weniger Ladedruck wiederholen: Mit weniger Motordrehmoment hält eine rutschende Kupplung.
cause-overheating = ein überhitzender Motor
cause-overheating-settled-by = Abkühlen lassen, Gebläse und Kühlmittelstand prüfen und wiederholen.
cause-sensor-fault = ein Sensor oder seine Verkabelung
cause-sensor-fault-settled-by = Die Verkabelung des Sensors prüfen und ihn mit einem zweiten Messgerät vergleichen.
cause-clock-offset = Uhren, die auseinander liegen
cause-clock-offset-settled-by = Beide Quellen über einen Adapter aufzeichnen oder die eigene Zeit des Prüfstands in der Kanalliste nennen (clock).

## Symptoms as evidence for or against a cause

symptom-speed-limited-seen = der Drehzahlbegrenzer griff zu früh ein
symptom-speed-limited-not-seen = der Drehzahlbegrenzer griff erst bei der angegebenen Höchstdrehzahl ein
symptom-throttle-closed-seen = die Drosselklappe schloss bei Vollgas
symptom-throttle-closed-not-seen = die Drosselklappe blieb offen
symptom-one-cylinder-retarded-seen = bei einem Zylinder wurde die Zündung weit mehr zurückgenommen als bei den anderen
symptom-one-cylinder-retarded-not-seen = kein Zylinder fällt auf
symptom-all-cylinders-retarded-seen = bei allen Zylindern wurde die Zündung mehr zurückgenommen, als die Ladeluft erklärt
symptom-all-cylinders-retarded-not-seen = über alle Zylinder wurde die Zündung nicht mehr zurückgenommen, als die Ladeluft erklärt
symptom-retard-from-heat-seen = die Zündwinkelrücknahme ist das, was so heiße Ladeluft kostet
symptom-retard-from-heat-not-seen = heiße Ladeluft erklärt keine Zündwinkelrücknahme
symptom-retard-fixed-seen = auf allen Zylindern stand durchgehend die gleiche Zündwinkelrücknahme
symptom-retard-fixed-not-seen = die Zündwinkelrücknahme kam und ging in Stufen
symptom-timing-below-target-seen = die Zündung lag später als verlangt, ohne dass die Klopfregelung sie zurückgenommen hätte
symptom-timing-below-target-not-seen = die Zündung war bis auf die Klopfregelung wie verlangt
symptom-boost-low-seen = der Ladedruck blieb unter seinem Soll
symptom-boost-low-not-seen = der Ladedruck erreichte sein Soll
symptom-spools-late-seen = der Ladedruck kam später als in früheren Läufen
symptom-spools-late-not-seen = der Ladedruck kam nicht später als in früheren Läufen
symptom-boost-high-seen = der Ladedruck ging über sein Soll
symptom-boost-high-not-seen = der Ladedruck ging nie darüber
symptom-boost-oscillates-seen = der Ladedruck schwang um sein Soll
symptom-boost-oscillates-not-seen = der Ladedruck war ruhig
symptom-wastegate-asks-closed-seen = das Wastegate war ganz geschlossen angesteuert, während Ladedruck fehlte
symptom-wastegate-asks-closed-not-seen = das Wastegate hatte noch Weg zum Schließen
symptom-wastegate-asks-open-seen = das Wastegate war ganz offen angesteuert, während der Ladedruck zu hoch war
symptom-wastegate-asks-open-not-seen = das Wastegate hatte noch Weg zum Öffnen
symptom-air-flow-high-seen = es wurde mehr Luft gemessen, als die Zylinder aufnehmen können
symptom-air-flow-high-not-seen = der Luftmassenstrom passt zu den Zylindern
symptom-air-flow-grew-seen = der Motor nahm bei gleichem Druck mehr Luft auf als in früheren Läufen
symptom-air-flow-grew-not-seen = der Motor nahm bei gleichem Druck nicht mehr Luft auf als in früheren Läufen
symptom-air-flow-low-seen = die Zylinder nahmen weniger Luft auf, als ihr Druck ergeben sollte
symptom-air-flow-low-not-seen = die Zylinder füllten sich, wie sie sollen
symptom-torque-short-seen = das Drehmoment blieb bei erreichtem Ladedruck unter seiner Anforderung
symptom-torque-short-not-seen = das Drehmoment war das angeforderte
symptom-compressor-labours-seen = der Verdichter arbeitete schwerer, als dieser Ladedruck verlangt
symptom-compressor-labours-not-seen = der Verdichter arbeitete nicht schwerer, als dieser Ladedruck verlangt
symptom-charge-air-hot-seen = die Ladeluft war heiß
symptom-charge-air-hot-not-seen = die Ladeluft war kühl
symptom-heat-soak-seen = die Ladeluft war zu Beginn heißer als in den Läufen davor
symptom-heat-soak-not-seen = die Ladeluft war zu Beginn nicht heißer als zuvor
symptom-cooler-weak-seen = der Ladeluftkühler führte zu wenig Wärme ab
symptom-cooler-weak-not-seen = der Ladeluftkühler tat seine Arbeit
symptom-turbo-fast-seen = der Turbolader drehte schneller, als er darf
symptom-turbo-fast-not-seen = der Turbolader drehte nicht schneller, als er darf
symptom-blower-boost-short-seen = der Lader gab weniger Ladedruck, als seine Drehzahl geben müsste
symptom-blower-boost-short-not-seen = der Lader gab den Ladedruck, den seine Drehzahl geben muss
symptom-intake-drops-seen = der Ansaugweg nahm viel vom Luftdruck weg
symptom-intake-drops-not-seen = der Ansaugweg nahm wenig vom Luftdruck weg
symptom-intake-hot-seen = die Luft war schon vor dem Verdichter heiß
symptom-intake-hot-not-seen = die Luft vor dem Verdichter war kühl
symptom-low-pressure-droops-seen = der Kraftstoffniederdruck brach ein
symptom-low-pressure-droops-not-seen = der Kraftstoffniederdruck hielt
symptom-high-pressure-droops-seen = der Kraftstoffhochdruck brach ein
symptom-high-pressure-droops-not-seen = der Kraftstoffhochdruck hielt
symptom-injector-full-seen = den Einspritzventilen blieb keine Zeit
symptom-injector-full-not-seen = die Einspritzventile hatten Zeit übrig
symptom-mixture-lean-seen = das Gemisch war zu mager
symptom-mixture-lean-not-seen = das Gemisch hielt sein Soll
symptom-mixture-rich-seen = das Gemisch war zu fett
symptom-mixture-rich-not-seen = das Gemisch war nicht zu fett
symptom-trims-add-seen = die Gemischkorrekturen gaben Kraftstoff hinzu
symptom-trims-add-not-seen = die Gemischkorrekturen waren klein
symptom-trims-take-seen = die Gemischkorrekturen nahmen Kraftstoff weg
symptom-trims-take-not-seen = die Gemischkorrekturen nahmen kaum etwas weg
symptom-coolant-hot-seen = das Kühlmittel war heiß
symptom-coolant-hot-not-seen = das Kühlmittel war in seinem Bereich
symptom-oil-hot-seen = das Öl war heiß
symptom-oil-hot-not-seen = das Öl war in seinem Bereich
symptom-exhaust-hot-seen = das Abgas war heiß
symptom-exhaust-hot-not-seen = das Abgas war nicht heiß
symptom-oil-pressure-low-seen = der Öldruck war niedrig
symptom-oil-pressure-low-not-seen = der Öldruck war gut
symptom-misfires-seen = Zündaussetzer wurden gezählt
symptom-misfires-not-seen = kein Zündaussetzer wurde gezählt
symptom-roller-lags-seen = die Rolle blieb hinter den Rädern zurück
symptom-roller-lags-not-seen = die Reifen hafteten auf der Rolle
symptom-wheels-lag-seen = die Räder blieben hinter dem Motor zurück
symptom-wheels-lag-not-seen = die Räder folgten dem Motor
symptom-speeds-part-seen = die Rolle blieb hinter dem Motor zurück
symptom-speeds-part-not-seen = Motor und Rolle drehten im festen Verhältnis
symptom-channel-stuck-seen = ein Kanal stand still
symptom-channel-stuck-not-seen = kein Kanal stand still
symptom-channel-clipped-seen = ein Kanal stand am Ende seines Bereichs
symptom-channel-clipped-not-seen = kein Kanal stand am Ende seines Bereichs
symptom-channel-gaps-seen = ein Kanal setzte aus
symptom-channel-gaps-not-seen = kein Kanal setzte aus
symptom-channel-impossible-seen = ein Kanal zeigte unmögliche Werte
symptom-channel-impossible-not-seen = alle Werte sind möglich
symptom-channels-disagree-seen = zwei Kanäle derselben Größe widersprechen sich
symptom-channels-disagree-not-seen = die Kanäle stimmen miteinander überein
symptom-clocks-apart-seen = die Uhren von Prüfstand und Motor liegen auseinander
symptom-clocks-apart-not-seen = die Uhren stimmen überein

## How causes are put forward

explain-points-to = Deutet hin auf: { $cause }.
explain-points-to-for = Deutet hin auf: { $cause } ({ $reasons }).
explain-perhaps = Vielleicht: { $cause }.
explain-perhaps-for = Vielleicht: { $cause } ({ $reasons }).
explain-against = Dagegen spricht: { $reasons }.
explain-not-explained = Durch die aufgezeichneten Kanäle nicht erklärt.
explain-log = Aufzeichnen: { $channels }.
explain-also-possible = Ebenfalls möglich: { $cause }.
explain-also-possible-for = Ebenfalls möglich: { $cause } ({ $reasons }).

## Quantities

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
alert-watched-lasting-knock-retard = anhaltende Zündwinkelrücknahme durch Klopfen
alert-watched-oil-pressure = Öldruck
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
alert-below = { $watched }: { $value }, verlangt mindestens { $limit }
alert-below-at = { $watched }: { $value } bei { $speed }, verlangt mindestens { $limit }
alert-below-again = { $watched }: wieder { $value }, verlangt mindestens { $limit }
alert-below-again-at = { $watched }: wieder { $value } bei { $speed }, verlangt mindestens { $limit }
alert-kind-knock-retard = Zündwinkelrücknahme
alert-kind-lean-under-boost = mageres Gemisch unter Ladedruck
alert-kind-over-boost = zu hoher Ladedruck
alert-kind-low-fuel-pressure = zu niedriger Kraftstoffdruck
alert-kind-overheating = Überhitzung
alert-kind-low-oil-pressure = zu niedriger Öldruck
alert-kind-source-silent = stumme Quelle
alert-kind-blind = fehlender Kanal
severity-law-stop = Während des Laufs hieß das Anhalten: { $alert }.
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

## Wie sicher eine Leistungsangabe ist

measure-wheel-power = Spitzenleistung am Rad
measure-wheel-torque = Höchstes Drehmoment aus der Radleistung
measure-engine-power = Spitzenleistung des Motors nach der Verlustkonvention
measure-engine-torque = Höchstes Motordrehmoment nach der Verlustkonvention
measure-corrected-power = Spitzenleistung am Rad, korrigiert
influence-inertia = Trägheit der Rolle
influence-roller-radius = Radius der Rolle
influence-brake-torque = Drehmoment der Bremse
influence-sent-power = Leistung oder Drehmoment, wie die Steuerung sie sendet
influence-engine-speed = Drehzahl
influence-loss = der zugeschlagene Verlust
influence-pressure = Luftdruck
influence-temperature = Lufttemperatur
influence-humidity = Luftfeuchte
influence-smoothing = Glättung an der Spitze
influence-readings = Streuung der Messwerte
influence-runs = Unterschied der Läufe untereinander
origin-station-file = nach der Stationsdatei
origin-common-practice = übliche Toleranzen (Praxis, keine veröffentlichte Quelle)
origin-published = Toleranz nach EU 134/2014
origin-measured = gemessen
uncertainty-part = { $influence } { $standard }
uncertainty-parts = { $origin }: { $parts }
uncertainty-budget = { $measure }: { $value } ± { $half-width } bei { $speed } (95 %, ± { $expanded }). Standardunsicherheiten in Prozent davon, { $parts }. Zusammen { $standard }, mal { $factor } für 95 % (JCGM 100).
uncertainty-of-curve = Die Radleistung eines einzelnen Laufs ist bei jeder einzelnen Drehzahl auf ± { $least-number } bis { $most } bekannt (95 %); das meiste davon ist allen Läufen auf diesem Prüfstand gemeinsam und hebt sich in einem Vergleich auf.
power-beyond-displacement = { $power } bei { $speed } können nicht sein: aus { $displacement-number } l wäre das ein effektiver Mitteldruck von { $pressure }, und kein Viertakter erreicht mehr als etwa { $most } bei { $manifold } absolut im Saugrohr. Zu prüfen: ob das Drehmoment das an der Achse statt am Motor ist (dann stecken Gang und Achsübersetzung darin), die Übersetzung des Gangs, Trägheit und Radius des Prüfstands und der Hubraum; ein Zweitakter oder Kreiskolbenmotor holt doppelt so viel aus seinem Hubraum.
power-beyond-air-flow = { $power } bei { $speed } können nicht sein: mit { $flow } Luft, die dort gemessen wurden, verbrennt Kraftstoff für höchstens etwa { $most }. Zu prüfen: ob das Drehmoment das an der Achse statt am Motor ist (dann stecken Gang und Achsübersetzung darin), die Übersetzung des Gangs, Trägheit und Radius des Prüfstands und der Luftmassenmesser; Lachgas bringt Luft mit, die kein Messer sieht.
power-beyond-ecu-torque = { $power } bei { $speed } sind zweifelhaft: das sind { $torque } am Motor, wo das Steuergerät { $ecu } rechnet. Zu prüfen: ob das Drehmoment das an der Achse statt am Motor ist (dann stecken Gang und Achsübersetzung darin), die Übersetzung des Gangs, Trägheit und Radius des Prüfstands.

## Was eine Änderung an der Leistung bewirkt hat

gain-peak-more-than-spread = Die Spitzenleistung am Rad änderte sich um { $change } (95 %: { $low-number } bis { $high }), mehr als die Streuung von Lauf zu Lauf.
gain-peak-within-spread = Die Spitzenleistung am Rad änderte sich um { $change } (95 %: { $low-number } bis { $high }), nicht mehr als die Streuung von Lauf zu Lauf.
gain-mean-more-than-spread = Die mittlere Leistung über die gemeinsamen Drehzahlen änderte sich um { $change } (95 %: { $low-number } bis { $high }), mehr als die Streuung von Lauf zu Lauf.
gain-mean-within-spread = Die mittlere Leistung über die gemeinsamen Drehzahlen änderte sich um { $change } (95 %: { $low-number } bis { $high }), nicht mehr als die Streuung von Lauf zu Lauf.
gain-too-small-to-settle = auch { $pulls } Läufe jeder Stufe würden einen so kleinen Unterschied nicht zeigen
gain-settled-by-more-pulls = etwa { $pulls } { $pulls ->
    [one] weiterer Lauf
   *[other] weitere Läufe
 } jeder Stufe würden es klären
gain-peak-with-drift = Die Spitzenleistung am Rad änderte sich um { $change } (95 %, eine Drift eingerechnet: { $low-number } bis { $high }).
gain-peak-alone-claims-nothing = Die Spitzenleistung am Rad änderte sich um { $change } (95 %: { $low-number } bis { $high }), doch das allein beweist nichts: von mehreren Werten schließt einer auch zufällig die Null aus, und weder die mittlere Leistung noch die Form der Kurve unterscheidet sich um mehr als die Läufe.
gain-mean-unsettled = Die mittlere Leistung über die gemeinsamen Drehzahlen änderte sich um { $change } (95 %: { $low-number } bis { $high }), nicht mehr als die Streuung von Lauf zu Lauf; { $settle }.
gain-mean-perhaps-drift = Die mittlere Leistung über die gemeinsamen Drehzahlen änderte sich um { $change } (95 %, eine Drift von Lauf zu Lauf eingerechnet: { $low-number } bis { $high }). Das ist mehr als die Streuung von Lauf zu Lauf, aber so wenige Läufe schließen nicht aus, dass die Leistung um so viel gedriftet ist; { $settle }.
gain-settled-by-baseline-again = der erste dieser beiden Zustände, am Ende noch einmal gefahren, würde es klären
gain-drift-fell = Innerhalb der Stufen fiel die Leistung von Lauf zu Lauf: { $change } je Lauf (95 %: { $low-number } bis { $high }), wie bei Aufheizung. Eine spätere Stufe liest sich dadurch zu niedrig; die Intervalle rechnen das ein. Den ersten dieser beiden Zustände am Ende noch einmal fahren: was er bis dahin verloren hat, ist Drift.
gain-drift-rose = Innerhalb der Stufen stieg die Leistung von Lauf zu Lauf: { $change } je Lauf (95 %: { $low-number } bis { $high }), wie bei noch warm werdendem Öl und Getriebe. Eine spätere Stufe liest sich dadurch zu hoch; die Intervalle rechnen das ein. Den ersten dieser beiden Zustände am Ende noch einmal fahren: was er bis dahin gewonnen hat, ist Drift.
gain-shape = Die Form der Kurve änderte sich um mehr als die Streuung von Lauf zu Lauf bei { $stretches }; am meisten bei { $speed }, um { $change } der mittleren Leistung ± { $half-width } (99 %, jeder Lauf gegen sein eigenes Mittel).
gain-at-no-single-speed = Bei keiner einzelnen Drehzahl ist der Unterschied für sich mehr als die Streuung von Lauf zu Lauf; über die gemeinsamen Drehzahlen zusammen ist er es.
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
air-pressure-not-of-this-station = Der Luftdruck { $pressure } liegt { $over } über dem, was bei gewöhnlichem Wetter in { $altitude } Höhe herrscht: Es sieht nach dem Druck auf Meereshöhe eines Wetterdienstes aus, der an dieser Station { $here } wäre.
air-pressure-perhaps-sea-level = Der Luftdruck { $pressure } liegt { $over } über dem Normwert für { $altitude }. Stammt er von einem Wetterdienst oder einem auf Meereshöhe eingestellten Gerät, ist es der Druck auf Meereshöhe, und an der Station wären es { $here }.

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
report-plus-minus = ± ist die erweiterte Unsicherheit bei 95 %: was Prüfstand, Luft und Läufe offen lassen (woher sie kommt, steht im technischen Teil). Zwei Prüfstände stimmen überein, wo sich ihre ± überschneiden.
report-uncertainty = Woher das ± kommt
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

## Every check: what it needs

not-judged-needs = Nicht beurteilt. Dafür nötig: { $quantities }.
not-judged-distrusted = Nicht beurteilt. Dafür nötig: { $quantities }. Hier nicht zu trauen: { $channels }.
not-judged-not-boosted = Nicht beurteilt: Nichts besagt, dass der Motor aufgeladen ist.
either-or = { $one } oder { $other }

## What kind of engine it was judged as

engine-kind-open = Was die Stationsdatei offen lässt, wurde dem Lauf entnommen.
engine-kind-taken-for = Beurteilt als { $kind }: { $evidence }.
engine-kind-though-stated = { $evidence }, obwohl er laut Stationsdatei nicht aufgeladen ist
engine-kind-logged = { $quantity } ist aufgezeichnet
engine-kind-diesel = ein Diesel läuft mager
engine-kind-diesel-rail = der Raildruck beträgt { $rail }
engine-kind-revs = er dreht { $speed }
engine-kind-rich = er läuft bei Volllast mit Lambda { $mixture }
engine-kind-lean = er läuft bei Volllast durchgehend mit Lambda { $mixture }
engine-kind-boost = { $quantity } erreicht { $boost }
engine-kind-manifold-above = der Saugrohrdruck erreicht { $manifold } absolut, weit über dem Luftdruck
engine-kind-boost-instant = der Ladedruck kommt mit dem Fahrpedal, ohne die Anlaufzeit eines Turboladers
engine-kind-never-boosted = der Saugrohrdruck steigt nie über den Luftdruck
engine-kind-mixture = { $quantity } bleibt bei { $mixture }
engine-kind-spark = Ottomotor
engine-kind-compression = Dieselmotor
engine-kind-naturally-aspirated = Saugmotor
engine-kind-turbocharger = Motor mit Turbolader
engine-kind-blower = Motor mit mechanischem Lader
engine-kind-boosted = aufgeladener Motor

## What was judged

coverage-lacking = Kein Fehler gesehen, aber nicht als in Ordnung bewertet: { $reasons }.
coverage-well = Beurteilt und in Ordnung: { $checks }.
coverage-broken-off-lift = der Lauf ist unvollständig (der Fahrer ging bei { $speed } vom Gas)
coverage-broken-off-limiter = der Lauf ist unvollständig (der Drehzahlbegrenzer griff bei { $speed } ein)
coverage-broken-off-gear-change = der Lauf ist unvollständig (bei { $speed } wurde der Gang gewechselt)
coverage-broken-off-stalled = der Lauf ist unvollständig (die Motordrehzahl stieg ab { $speed } nicht mehr)
coverage-broken-off-session-end = der Lauf ist unvollständig (die Sitzung endete bei { $speed })
coverage-broken-off-source-lost = der Lauf ist unvollständig (bei { $speed } ging eine Quelle verloren)
coverage-begins-late = der Lauf ist unvollständig (sein Anfang fehlt: was da ist, beginnt bei { $speed })
coverage-read-too-seldom = worauf das Urteil ruht, wurde zu selten gelesen
coverage-no-channels = keine Prüfung hatte die Kanäle, die sie braucht
coverage-no-demand = nichts zeigt, was der Fahrer verlangte (Fahrpedal- oder Drosselklappenstellung aufzeichnen)
coverage-no-knock = Klopfen wurde nicht beurteilt (Zündwinkelrücknahme aufzeichnen)
coverage-no-retard = { $count ->
    [one] die Zündwinkelrücknahme von Zylinder { $cylinders } wurde nicht aufgezeichnet
   *[other] die Zündwinkelrücknahme der Zylinder { $cylinders } wurde nicht aufgezeichnet
    }
coverage-no-knock-nor-timing = weder Klopfen noch Zündwinkel wurde beurteilt (Zündwinkelrücknahme oder Zündwinkel aufzeichnen)
coverage-no-mixture = das Gemisch wurde nicht beurteilt ({ $why })
coverage-log-lambda = Lambda aufzeichnen
coverage-log-lambda-target = sein Soll aufzeichnen
coverage-no-rail = der Raildruck wurde nicht beurteilt (ihn und sein Soll aufzeichnen)
coverage-no-exhaust = weder Gemisch noch Abgastemperatur wurde beurteilt (Lambda und sein Soll oder die Abgastemperatur aufzeichnen)
coverage-no-boost = der Ladedruck wurde nicht beurteilt ({ $why })
coverage-log-boost-target = sein Soll aufzeichnen
coverage-log-boost = Ladedruck oder Saugrohrdruck und Luftdruck aufzeichnen
coverage-well-throttle = Drosselklappe
coverage-well-ignition = Zündung
coverage-well-boost = Ladedruck
coverage-well-blower = mechanischer Lader
coverage-well-intake = Ansaugweg
coverage-well-turbo = Turbolader
coverage-well-air-and-torque = Luft und Drehmoment
coverage-well-air-temperatures = Lufttemperaturen
coverage-well-fuel-supply = Kraftstoffversorgung
coverage-well-mixture = Gemisch
coverage-well-engine-temperatures = Motortemperaturen
coverage-well-speed-limiter = Drehzahlbegrenzer
coverage-well-drive = Antriebsstrang

## Fuel supply

fuel-side-low = Kraftstoffniederdruck
fuel-side-rail = Kraftstoffhochdruck
fuel-held-target = { $side } blieb auf { $short } genau am Soll.
fuel-held-before = { $side } fiel um höchstens { $short } gegenüber dem Stand vor dem Lauf.
fuel-held-earlier = { $side } lag bei gleicher Drehzahl höchstens { $short } unter den Läufen davor.
fuel-too-few = { $side } nicht beurteilt: Zu wenige Werte kamen, um einen Einbruch von einem verspäteten Wert zu unterscheiden.
fuel-briefly-short = Für weniger als { $duration } fehlten { $short }.
fuel-lag-allowed = Er folgt seinem Soll { $lag } verspätet; das ist berücksichtigt.
fuel-drooped-target = { $side } um bis zu { $short } eingebrochen, { $where }: { $pressure } statt der verlangten { $wanted }.
fuel-drooped-before = { $side } um bis zu { $short } eingebrochen, { $where }: { $pressure }, wo vor dem Lauf { $wanted } anstanden (kein Soll ist aufgezeichnet, aber bei Teillast und bei Volllast hielt die Pumpe denselben Druck).
fuel-drooped-earlier = { $side } um bis zu { $short } niedriger als in den Läufen davor, { $where }: { $pressure }, wo bei gleicher Drehzahl mindestens { $wanted } anstanden (kein Soll ist aufgezeichnet).
fuel-low-side-steady = Kraftstoffniederdruck nicht beurteilt: Kein Soll ist aufgezeichnet. Er fiel um höchstens { $fell } gegenüber den { $start }, mit denen der Lauf begann.
fuel-low-side-open = Kraftstoffniederdruck nicht beurteilt: Kein Soll ist aufgezeichnet, und nichts sagt, dass diese Pumpe einen festen Druck hält. Er fiel im Lauf von { $start } auf { $least }.
fuel-low-side-fell = Kraftstoffniederdruck von { $start } auf { $least } gefallen, { $where }, während der Motor mehr verlangte; kein Soll ist aufgezeichnet, aber so weit senkt ihn keine Regelung.
fuel-other-unit = { $side } durchgehend { $pressure } statt der verlangten { $wanted }; damit läuft kein Motor: Einer der beiden Kanäle hat eine andere Einheit, als die Kanalliste sagt.
fuel-injectors-spare = Die Einspritzventile waren höchstens { $duty } der Zeit offen.
fuel-injectors-briefly-full = Die Einspritzventile waren höchstens { $duty } der Zeit offen, nur für weniger als { $duration } bis zu { $top }.
fuel-injectors-no-reserve = Die Einspritzventile waren bis zu { $duty } der Zeit offen, { $where }, mehr als { $limit }: Das Gemisch hielt, aber für kältere Luft oder mehr Ladedruck bleibt kaum Reserve.
fuel-injectors-full = Die Einspritzventile waren bis zu { $duty } der Zeit offen, { $where }; über { $limit } lässt sich kein Kraftstoff mehr zugeben.
fuel-supply-voltage = Die Bordspannung lag im Lauf bei { $voltage }; unter { $limit } sind Kraftstoffpumpe und Zündspulen schwächer, als sie kalibriert wurden.

## Mixture

mixture-lean = Das Gemisch war zu mager: Lambda { $measured } statt { $wanted }, { $where }.
mixture-lean-boosted = Das Gemisch war bei { $boost } Ladedruck zu mager: Lambda { $measured } statt { $wanted }, { $where }.
mixture-lean-no-target = Das Gemisch war zu mager: Lambda { $measured } { $where }; kein Soll ist aufgezeichnet, und bei Volllast soll dieser Motor nicht magerer laufen als { $leanest }.
mixture-leaned-out = Das Gemisch magerte bei Volllast ab: Lambda stieg von { $richest } auf { $measured } { $where }; kein Soll ist aufgezeichnet.
mixture-under-boost = Der Ladedruck betrug dort { $boost }.
mixture-smoke = Der Motor lief für einen Diesel zu fett: Lambda { $measured } { $where }; unter { $limit } rußt er.
mixture-no-smoke = Lambda war mindestens { $richest }: mager, wie ein Diesel ausgelegt ist; unter { $limit } würde er rußen.
mixture-very-rich = Lambda fiel { $where } bis auf { $richest }: So fett kostet es Leistung und wäscht das Öl von den Laufbahnen.
mixture-steady = Lambda war bei Volllast { $richest } bis { $leanest } und magerte nicht ab; kein Soll ist aufgezeichnet.
mixture-steady-cool = Lambda war bei Volllast { $richest } bis { $leanest }, das Abgas höchstens { $exhaust } heiß; kein Soll ist aufgezeichnet, und ein Gemisch nahe 1 ist für sich kein Fehler, solange das Abgas kühl genug bleibt.
mixture-steady-open = Gemisch nicht beurteilt: Lambda war bei Volllast unter Ladedruck { $richest } bis { $leanest }, und ohne Lambda-Soll oder Abgastemperatur kann niemand sagen, ob dieser Motor dafür gebaut ist.
mixture-too-few = Gemisch nicht beurteilt: zu wenige Lambdawerte bei Volllast nach der eigenen Verzögerung der Sonde.
mixture-lag = Die Sonde folgt ihrem Soll mit { $lag } Verzögerung; das ist berücksichtigt.
mixture-rich = Das Gemisch war zu fett: Lambda { $measured } statt { $wanted }, { $where }.
mixture-trims-before = Vor dem Lauf, bei Teillast, mussten die Gemischkorrekturen { $trim } Kraftstoff zugeben.
mixture-trims-take-before = Vor dem Lauf, bei Teillast, mussten die Gemischkorrekturen { $trim } Kraftstoff wegnehmen.
mixture-trims = Die Gemischkorrekturen mussten im Lauf { $trim } Kraftstoff zugeben; um so viel liegt die Kalibrierung oder die Kraftstoffversorgung zu niedrig.
mixture-trims-take = Die Gemischkorrekturen mussten im Lauf { $trim } Kraftstoff wegnehmen; um so viel bekam der Motor mehr als angenommen.
mixture-never-lean = Lambda lag bei Volllast höchstens bei { $leanest }; kein Soll ist aufgezeichnet, und was fett läuft, soll nicht über { $limit } abmagern.
mixture-never-rich = Lambda lag mindestens bei { $richest }, nie viel fetter als sein Soll; ein Selbstzünder läuft von Natur aus mager.
mixture-held = Lambda hielt sein Soll auf { $error } genau ({ $first } am Anfang, { $last } am Ende).
mixture-held-but-moments = Lambda hielt sein Soll bis auf Augenblicke von weniger als { $moment } ({ $first } am Anfang, { $last } am Ende).

## Engine temperatures and pressures

fluid-coolant = Kühlmittel
fluid-oil = Öl
fluid-exhaust = Abgas
engine-temperatures-hot = { $fluid } bis { $temperature } heiß, { $where }; die Grenze liegt bei { $limit }.
engine-temperatures-stop = Ab { $limit } anhalten.
engine-temperatures-well = { $fluid } höchstens { $temperature }.
engine-temperatures-oil-pressure-low = Der Öldruck betrug { $pressure }, { $where }; bei dieser Drehzahl müssen es mindestens { $limit } sein.
engine-temperatures-oil-pressure-well = Öldruck mindestens { $pressure }.
oil-pressure-unusual = Öldruck { $pressure }, { $where }; ein Motor dieser Art hat dort mindestens { $usual }.
oil-pressure-falls = Der Öldruck fiel auf { $pressure }, { $where }, während die Drehzahl stieg; er hatte schon { $before } erreicht. Eine Pumpe fördert mit der Drehzahl mehr: nach Luft im Öl, zu niedrigem Ölstand oder einem hängenden Überdruckventil suchen.
oil-pressure-below-earlier = Öldruck { $pressure }, { $where }; in den Läufen davor waren es bei gleicher Drehzahl mindestens { $before }, wärmeres Öl berücksichtigt.
engine-temperatures-cold = Der Lauf begann mit { $temperature } Kühlmitteltemperatur; ein Motor lässt sich ab { $limit } beurteilen.
engine-temperatures-none-came = Nicht beurteilt: Im Lauf kam keine Temperatur.

## Drive

drive-wheels-lag = Die Räder blieben um bis zu { $slip } hinter dem Motor zurück, { $where }: Das dort gezeigte Drehmoment ist falsch.
drive-roller-lags = Die Rolle blieb um bis zu { $slip } hinter den Rädern zurück, { $where }: Das dort gezeigte Drehmoment ist falsch.
drive-speeds-part = Die Rolle blieb um bis zu { $slip } hinter dem Motor zurück, { $where }: Das dort gezeigte Drehmoment ist falsch.
drive-ratio-fell = Kein Schlupf, aber Motor und Räder drehten nicht im festen Verhältnis: Es fiel im Lauf um { $fell } und stieg nicht wieder. Das tut ein Wandler, der überbrückt wird, oder Schlupf, mit dem der Lauf begann.
drive-too-few = Nicht beurteilt: Im Lauf kamen zu wenige Werte von Rad- oder Rollengeschwindigkeit.
drive-gear-changed = Der Gang wechselte { $where }: Außer den Drehzahlen wird dort nichts beurteilt.
drive-held-wheels-lag = Motor und Räder drehten von { $low-number } bis { $high } im festen Verhältnis, auf { $slip } genau.
drive-held-roller-lags = Motor, Räder und Rolle drehten von { $low-number } bis { $high } im festen Verhältnis, auf { $slip } genau.
drive-held-speeds-part = Motor und Rolle drehten von { $low-number } bis { $high } im festen Verhältnis, auf { $slip } genau.
road-power = Ohne Prüfstand: Radleistung bis { $power-number } ± { $power-sure } bei { $power-speed }, daraus Drehmoment bis { $torque-number } ± { $torque-sure } bei { $torque-speed }.
road-power-origin = Geschätzt daraus, wie { $mass } auf ebener Straße an Geschwindigkeit gewinnen, mit Rollwiderstand und Luftwiderstand eines typischen Fahrzeugs (übliche Praxis, keine veröffentlichte Quelle), zu 95 % sicher; kein Ersatz für einen Prüfstand und auf einer Rolle ganz ohne Aussage.

## Data

data-impossible = { $channel } zeigte { $value }, was nicht sein kann (möglich sind { $least-number } bis { $most-number }), in { $wrong } von { $samples } Messwerten, { $where }.
data-impossible-sign = { $channel } zeigte { $value }, was nicht sein kann (möglich sind { $least-number } bis { $most-number }), in { $wrong } von { $samples } Messwerten (Zündwinkelrücknahme zählt positiv: das Vorzeichen in der Kanalliste umkehren), { $where }.
data-no-lambda = { $channel } zeigte etwa { $value }, womit kein Motor unter Volllast läuft: ein Luft-Kraftstoff-Verhältnis, das die Kanalliste für Lambda hält (dort unit AFR und das stöchiometrische Verhältnis nennen), oder ein Sensor in Luft, { $where }.
data-silent = { $channel } war { $silence } lang still, { $where }.
data-silent-often = { $channel } war { $silence } lang still ({ $times } Mal), { $where }.
data-source-silent = Die Quelle { $source } schwieg { $silence } lang, { $where }: Ihr Gerät, ihr Adapter oder ihr Kabel setzte aus, oder der Rechner.
data-source-partly-silent = { $channels } der Quelle { $source } schwiegen { $silence } lang, { $where }, alle zugleich: Was sie sendet, setzte aus, nicht ihre Sensoren.
data-source-silent-often = Sie setzte { $times } Mal aus, zusammen { $total } lang.
data-source-not-judged = Was sie in dieser Zeit gezeigt hätte, wurde nicht beurteilt.
data-source-silent-settled-by = Adapter, Kabel und Stromversorgung prüfen und ob der Rechner im Ruhezustand oder überlastet war.
data-source-never-came = Die Quelle { $source } schwieg im ganzen Lauf, obwohl sie in einem früheren Lauf dieser Stufe sprach.
data-stuck = { $channel } stand für { $share } des Laufs völlig still auf { $value }, { $where }.
data-clipped = { $channel } lag für { $share } des Laufs auf genau { $value }: abgeschnitten, { $where }.
data-pressure-above = { $boost } liegt { $difference } über { $manifold } minus Luftdruck (Median des Laufs): Einer der drei stimmt nicht.
data-pressure-below = { $boost } liegt { $difference } unter { $manifold } minus Luftdruck (Median des Laufs): Einer der drei stimmt nicht.
data-atmosphere-apart = { $boost } und { $target } liegen durchgehend { $difference } auseinander, was der Luftdruck selbst ist: { $absolute } ist ein Absolutdruck, und die Kanalliste hält ihn für Überdruck.
data-too-slow = Zu wenige Messwerte für ein Urteil: { $rates } je 1.000 rpm, nötig sind { $limit }; schneller aufzeichnen oder langsamer hochfahren.
data-rate = { $channel } ({ $rate-number })
data-too-few = Zu wenige Messwerte für ein Urteil: { $channels } im ganzen Lauf, nötig sind { $limit } (ein Wert, der nur wieder geschrieben wird, ist kein Messwert); schneller aufzeichnen oder langsamer hochfahren.
data-read = { $channel } ({ $readings })
data-too-little = Das ist zu wenig, um den Motor danach in Ordnung zu nennen.
data-clock-late = Die Geschwindigkeit von { $source } kommt { $offset } zu spät gegenüber der Motordrehzahl: Die Uhren der beiden Quellen liegen auseinander, das Drehmoment steht also bei der falschen Motordrehzahl.
data-clock-early = Die Geschwindigkeit von { $source } kommt { $offset } zu früh gegenüber der Motordrehzahl: Die Uhren der beiden Quellen liegen auseinander, das Drehmoment steht also bei der falschen Motordrehzahl.
data-good = { $channels ->
    [one] { $channels } Kanal
   *[other] { $channels } Kanäle
    } ohne Lücken, nichts hängt oder ist abgeschnitten; am seltensten kam { $slowest }, { $times } Mal in { $lasted }.
data-never-came = In der Kanalliste, aber im ganzen Lauf still: { $channels }.
data-never-came-though-earlier = In der Kanalliste, aber im ganzen Lauf still, obwohl in einem früheren Lauf dieser Stufe vorhanden: { $channels }.
data-never-came-though-others = In der Kanalliste, aber im ganzen Lauf still: { $channels }. Dabei kamen { $others }.
data-more = { $more } weitere

## Clocks

clocks-moved-late = { $source } kam { $offset } zu spät gegenüber der Motordrehzahl (+-{ $uncertainty } bei 95 % Sicherheit); die Kanäle wurden um so viel verschoben.
clocks-moved-early = { $source } kam { $offset } zu früh gegenüber der Motordrehzahl (+-{ $uncertainty } bei 95 % Sicherheit); die Kanäle wurden um so viel verschoben.
clocks-drifted = { $source } ist seit dem ersten Lauf der Sitzung um { $drift } gewandert.
## Titles of the checks

check-throttle = Drosselklappe
check-ignition = Zündung und Klopfen
check-boost = Ladedruck
check-blower = Mechanischer Lader
check-intake = Ansaugweg
check-turbo = Turbolader
check-air-and-torque = Luft und Drehmoment
check-air-temperatures = Lufttemperaturen
check-fuel-supply = Kraftstoffversorgung
check-mixture = Gemisch
check-engine-temperatures = Motortemperaturen und -drücke
check-speed-limiter = Drehzahlbegrenzer
check-drive = Antrieb
check-data-quality = Daten
check-engine-kind = Art des Motors
check-coverage = Was beurteilt wurde

## Throttle

speed-limiter-early = Der Drehzahlbegrenzer griff bei { $speed } ein; die Stationsdatei nennt { $top }.
throttle-closed = Die Drosselklappe schloss { $where } für { $duration } auf { $least } der vollen Öffnung, während das Fahrpedal durchgetreten war.
throttle-closed-no-pedal = Die Drosselklappe schloss { $where } für { $duration } auf { $least } der vollen Öffnung; kein aufgezeichnetes Fahrpedal sagt, ob es durchgetreten blieb.
throttle-opened-late = Bei { $start } stand sie auf { $share } davon: Das Steuergerät öffnet sie mit steigender Drehzahl.
throttle-diesel-flap-moved = Nicht beurteilt: Die Klappe eines Dieselmotors bewegte sich im Lauf, bis auf { $least }; sie stellt kein Drehmoment.
throttle-not-asked = Nicht beurteilt: Das Fahrpedal war im Lauf nicht durchgetreten.
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
ignition-one-cylinder-chance = Er hatte { $events ->
    [one] { $events-number } Klopfereignis
   *[other] { $events-number } Klopfereignisse
    } und verlor im Mittel { $mean }, die anderen je { $others-events } Ereignisse und { $others-mean }: Zufall allein hebt einen Zylinder in höchstens { $chance } der Läufe so weit heraus.
ignition-rate = Über den Hochlauf sind das { $rate } Klopfereignisse je Sekunde und Zylinder, im Mittel { $mean }; ein Zylinder war { $share } der Zeit zurückgenommen.
ignition-rate-decay = Über den Hochlauf sind das { $rate } Klopfereignisse je Sekunde und Zylinder, im Mittel { $mean }; ein Zylinder war { $share } der Zeit zurückgenommen und bekam die Zündung mit einer Zeitkonstante von { $decay } zurück.
ignition-deep = Die Klopfregelung nahm Zylinder { $cylinder } { $where } um { $retard } zurück. Dass es dieser Zylinder war, kann Zufall sein: Ein zweiter Lauf zeigt es.
ignition-deep-engine = Die Klopfregelung nahm den Motor { $where } um { $retard } zurück.
ignition-lasting = Die Klopfregelung nahm Zylinder { $cylinder } { $where } über { $duration } im Mittel um { $lasting } zurück, höchstens um { $retard }. Dass es dieser Zylinder war, kann Zufall sein: Ein zweiter Lauf zeigt es.
ignition-lasting-engine = Die Klopfregelung nahm den Motor { $where } über { $duration } im Mittel um { $lasting } zurück, höchstens um { $retard }.
ignition-heat-unknown = Keine Lufttemperatur ist aufgezeichnet; deshalb ließ sich nichts davon mit Wärme erklären.
ignition-heat-explains = { $air }, heißer als { $usual }, erklärt davon { $explained }.
ignition-fixed = Jeder Zylinder trägt durchgehend die gleiche Zündwinkelrücknahme von { $retard }.
ignition-fixed-why = Klopfen kommt in Stufen; ein Wert, der sich nie bewegt, ist eine Klopfregelung ohne ihren Sensor.
ignition-below-target = Der Zündwinkel lag { $where } um { $short } unter seinem Soll, über die Rücknahme der Klopfregelung hinaus.
ignition-below-target-knock-unknown = Der Zündwinkel lag { $where } um { $short } unter seinem Soll: Klopfregelung, ein Momenteneingriff oder eine andere Korrektur. Zündwinkelrücknahme aufzeichnen, um es zu unterscheiden.
ignition-misfires = { $misfires ->
    [one] { $misfires-number } Zündaussetzer wurde { $where } gezählt.
   *[other] { $misfires-number } Zündaussetzer wurden { $where } gezählt.
    }
ignition-nothing-taken = Von { $start-number } bis { $end } nahm die Klopfregelung bei keinem Zylinder die Zündung zurück.
ignition-given-back = Die Klopfregelung arbeitete an ihrer Grenze: Sie nahm die Zündung um höchstens { $retard } zurück, bei { $speed }, und gab sie wieder frei.
ignition-given-back-cylinder = Die Klopfregelung arbeitete an ihrer Grenze: Sie nahm die Zündung um höchstens { $retard } zurück (Zylinder { $cylinder }), bei { $speed }, und gab sie wieder frei; kein Zylinder fällt auf.
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
boost-lag = Er folgte mit { $lag } Verzug; das ist die Trägheit seiner Regelung.
boost-spools-later = Der Ladedruck erreichte sein Soll erst bei { $speed }, { $later } später als { $pulls ->
    [one] im früheren Lauf
   *[other] in den { $pulls } früheren Läufen
    } dieser Stufe, gleich gefahren.
boost-spool-not-judged = Der Ladedruck erreichte sein Soll bei { $speed }. Ob das für diesen Turbolader spät ist, sagt kein früherer, gleich gefahrener Lauf.
boost-derived = Der Ladedruck ist der Saugrohrdruck abzüglich des für die Luft des Prüfstands angegebenen Luftdrucks von { $barometric }.
boost-no-barometer = Nicht beurteilt. Dafür nötig: Luftdruck, um aus dem Saugrohrdruck den Ladedruck zu bilden.
boost-not-judged = Nicht beurteilt: { $why }.
boost-not-asked-for = in diesem Lauf wurde kein Ladedruck angefordert
boost-too-few-samples = zu wenige Messwerte des Ladedrucks
boost-no-time = der Lauf war zu Ende, bevor der Ladedruck Zeit hatte, sein Soll zu erreichen

## Blower

blower-too-little = Nicht beurteilt: zu wenig Ladedruck oder zu wenige Werte davon.
blower-follows = Der Ladedruck folgte der Motordrehzahl: { $top } bei { $top-speed }, { $last } bei { $last-speed }.
blower-falls = Der Ladedruck fiel von { $top } bei { $top-speed } auf { $last } bei { $last-speed }, obwohl der Lader mit dem Motor dreht.
blower-less = Der Ladedruck lag von { $start-number } bis { $end } um { $less } unter dem { $pulls ->
    [one] des früheren Laufs
   *[other] der { $pulls } früheren Läufe
    } dieser Stufe, obwohl der Lader mit dem Motor dreht.

## Intake

intake-needs = Nicht beurteilt. Dafür nötig: der Luftdruck (barometric_pressure) und eine von niedriger bis hoher Drehzahl offene Drosselklappe.
intake-free = Der Saugrohrdruck blieb von { $start-number } bis { $end } um höchstens { $drop } unter dem Luftdruck.
intake-offset = Der Saugrohrdruck liegt bei jeder Drehzahl gleichmäßig { $drop } unter dem Luftdruck: ein Versatz zwischen den beiden Sensoren, keine Drosselung.
intake-drop = Der Saugrohrdruck lag bei Volllast von { $start-number } bis { $end } um { $drop } unter dem Luftdruck; höchstens { $limit } sind üblich.
intake-drops-more = Der Saugrohrdruck lag bei Volllast von { $start-number } bis { $end } um { $drop } unter dem Luftdruck; von niedriger Drehzahl bis dorthin fiel er um { $more } weiter als { $pulls ->
    [one] im früheren Lauf
   *[other] in den { $pulls } früheren Läufen
    } dieser Stufe.

## Turbo speed

turbo-speed-stated = Grenze laut Stationsdatei
turbo-speed-of-wheel = { $tip } an der Spitze eines Rads von { $wheel }
turbo-speed-well = Der Turbolader drehte höchstens { $top }, { $below } unter { $limit } ({ $source }).
turbo-speed-over = Der Turbolader drehte { $where } bis zu { $top }, { $over } über { $limit } ({ $source }).

## Turbo

turbo-efficiency = Das Druckverhältnis des Verdichters ging bis { $top }; im letzten Drittel unter Ladedruck ergab er { $ratio } und { $outlet }, ein Wirkungsgrad von etwa { $efficiency }.
turbo-efficiency-low = Der Verdichteraustritt lag bei { $outlet } für ein gemessenes Druckverhältnis von { $ratio }: ein Wirkungsgrad von { $efficiency }, unter { $limit }.
turbo-efficiency-low-why = Der Verdichter erzeugt ein höheres Druckverhältnis, als die Drücke zeigen.
turbo-air-flow-high = Der gemessene Luftmassenstrom würde die Zylinder zu { $filling } füllen; ein gesunder Motor nimmt höchstens etwa { $limit } dessen auf, was sie bei diesem Druck fassen.
turbo-air-flow-high-why = Luft geht hinter dem Luftmassenmesser verloren oder wird bei Ventilüberschneidung durchgeblasen, oder der Luftmassenmesser zeigt zu viel.
turbo-air-flow-grew = Bei gleichem Saugrohrdruck wurde von { $start-number } bis { $end } { $more } mehr Luft gemessen als { $pulls ->
    [one] im früheren Lauf
   *[other] in den { $pulls } früheren Läufen
    } dieser Stufe.
turbo-air-flow-grew-why = Ein Motor nimmt nicht von Lauf zu Lauf mehr auf: Luft geht hinter dem Luftmassenmesser verloren, oder der Messer hat sich verändert.
turbo-air-flow-low = Der gemessene Luftmassenstrom füllt die Zylinder bei diesem Saugrohrdruck nur zu { $filling }; ein gesunder Motor nimmt mindestens { $limit } auf.
turbo-air-flow-matches = Druckverhältnis bis { $top }; ab { $speed } passt der Luftmassenstrom zu dem, was die Zylinder aufnehmen.
turbo-too-little-boost = Nicht beurteilt: zu wenig Ladedruck oder zu wenige Messwerte davon, oder der Luftdruck ist nicht bekannt.
turbo-needs = Nicht beurteilt. Dafür nötig: Verdichteraustrittstemperatur oder Luftmassenstrom mit dem Hubraum des Motors.
turbo-torque-short = Das Drehmoment lag { $where } um { $short } unter seiner Anforderung, bei Ladedruck, Drosselklappe und Gemisch wie gewünscht; Wärme, Klopfen und Aussetzer sind berücksichtigt.
turbo-torque-short-why = Vielleicht ist mehr angefordert, als dieser Motor gibt; wurde die Anforderung früher erreicht, hält etwas den Motor zurück.
turbo-torque-shorter = Das Drehmoment lag { $where } um { $short } unter seiner Anforderung, bei Ladedruck, Drosselklappe und Gemisch wie gewünscht; Wärme, Klopfen und Aussetzer sind berücksichtigt. Das sind { $more } mehr als { $pulls ->
    [one] im früheren Lauf
   *[other] in den { $pulls } früheren Läufen
    } dieser Stufe.

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

## Bereit für einen Lauf?

readiness-coolant = Kühlmittel
readiness-oil = Öl
readiness-battery = Batterie
readiness-intake-drift = Änderung der Ansaugluft
readiness-charge-air = Ladeluft über Umgebung
readiness-free-storage = Freier Speicher
readiness-channels = Kanäle
readiness-pulls = Läufe
readiness-roller = Rolle und Motordrehzahl
service-recording = Aufzeichnung
service-store = Ablage
service-broker = Broker
service-lamp = Lampe
readiness-item = { $item }: { $found }
readiness-item-value = { $item }: { $value }
readiness-item-beyond = { $item }: { $value }, { $found } (Grenze { $limit })
readiness-stops = Anhalten
readiness-unseen = von niemandem gesehen: { $alerts }
readiness-stopped-pull = Lauf { $pull } heißt anhalten, zuerst seine Befunde ansehen
readiness-no-stop = nichts ist offen
readiness-no-channel = kein Kanal
readiness-not-known = nicht bekannt
readiness-too-low = zu niedrig
readiness-too-high = zu hoch
readiness-good = gut
readiness-fine = in Ordnung
readiness-listening = wird abgehört
readiness-not-heard = nicht gehört: { $channels }
readiness-slow = langsam: { $channels }
readiness-slow-channel = { $channel } mit { $heard-number } von { $wanted }
readiness-more = { $left } weitere
readiness-list = { $parts }
readiness-all-at-their-rates = alle { $channels } mit ihrer Rate
readiness-can-be-found = zu finden
readiness-not-moving = dreht nicht im Gang
readiness-ratio-scatters = ihr Verhältnis streut: Schlupf oder Uhren
readiness-go-together = gehen zusammen
readiness-nobody-looked = Niemand sah nach, ob das Auto bereit war: der Lauf wurde nicht live aufgezeichnet.
readiness-ready = Bereit, soweit pullwatch es sah: { $items }.
readiness-not-ready = Nicht bereit: { $items }.
readiness-otherwise-good = Gut: { $items }.
readiness-unknown = Nicht bekannt: { $items }.
readiness-list-looked-at = Liste des Bedieners: { $points } angesehen.
readiness-list-missed = Nicht abgehakt: { $points }.
readiness-car-ready = Auto vor dem Lauf bereit
readiness-list-before-first = Liste des Bedieners vor dem ersten Lauf
readiness-list-whole = Liste des Bedieners vor dem Lauf vollständig
readiness-all-pulls = alle { $every } Läufe
readiness-some-pulls = { $some } von { $every } Läufen
readiness-all-points = alle { $every } Punkte
readiness-some-points = { $some } von { $every } Punkten

## Wie ein Lauf endete

end-reason-lift = Gas weggenommen
end-reason-limiter = Drehzahlbegrenzer
end-reason-gear-change = Gangwechsel
end-reason-stalled = Drehzahl stieg nicht mehr
end-reason-session-end = Ende der Sitzung
end-reason-source-lost = Quelle verloren
