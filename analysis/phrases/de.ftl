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
