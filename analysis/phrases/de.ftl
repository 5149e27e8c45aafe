# Was pullwatch sagt, auf Deutsch; en.ftl nennt die Regeln.

as-written = { $text }
joint-and = { $rest } und { $last }

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
cause-boost-leak = eine Undichtigkeit im Ladeluftsystem
cause-boost-leak-settled-by = Die Ladeluftstrecke vom Verdichter bis zum Zylinderkopf abdrücken.
cause-wastegate-stuck-open = ein offen klemmendes Wastegate
cause-wastegate-stuck-open-settled-by = Das Wastegate von Hand oder mit der Unterdruckpumpe bewegen; seine Vorspannung prüfen. Kraftstoffversorgung, Kupplung und Klopfen waren ohne Ladedruck kaum belastet: nach dem nächsten Lauf beurteilen.
cause-wastegate-stuck-closed = ein geschlossen klemmendes Wastegate
cause-wastegate-stuck-closed-settled-by = Das Wastegate von Hand oder mit Druck bewegen; vor dem nächsten Lauf seinen Schlauch und sein Ventil prüfen.
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
cause-protective-throttle-closure = ein Steuergerät, das den Motor schützt
cause-protective-throttle-closure-settled-by = Die Momentengrenzen des Steuergeräts neben der Drosselklappe aufzeichnen oder seinen Fehlerspeicher lesen.
cause-misfire = Zündaussetzer
cause-misfire-settled-by = Aussetzerzähler je Zylinder aufzeichnen; Zündkerze und Zündspule des Zylinders ansehen.
cause-tyre-slip = Reifenschlupf auf der Rolle
cause-tyre-slip-settled-by = Das Fahrzeug fester verzurren oder in einem höheren Gang wiederholen.
cause-clutch-slip = eine rutschende Kupplung
cause-clutch-slip-settled-by = In einem niedrigeren Gang wiederholen: Mit weniger Drehmoment hält eine rutschende Kupplung.
cause-overheating = ein überhitzender Motor
cause-overheating-settled-by = Abkühlen lassen, Gebläse und Kühlmittelstand prüfen und wiederholen.
cause-sensor-fault = ein Sensor oder seine Verkabelung
cause-sensor-fault-settled-by = Die Verkabelung des Sensors prüfen und ihn mit einem zweiten Messgerät vergleichen.
cause-clock-offset = Uhren, die auseinander liegen
cause-clock-offset-settled-by = Beide Quellen über einen Adapter aufzeichnen oder die eigene Zeit des Prüfstands in der Kanalliste nennen (clock).

## Symptoms as evidence for or against a cause

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
symptom-boost-low-seen = der Ladedruck blieb unter seinem Soll
symptom-boost-low-not-seen = der Ladedruck erreichte sein Soll
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
explain-also-possible = Ebenfalls möglich: { $cause }.
explain-also-possible-for = Ebenfalls möglich: { $cause } ({ $reasons }).

## Quantities

quantity-engine-speed = Motordrehzahl
quantity-pedal-position = Fahrpedalstellung
quantity-throttle-position = Drosselklappenstellung
quantity-boost-pressure = Ladedruck
quantity-boost-target = Ladedrucksoll
quantity-manifold-pressure = Saugrohrdruck
quantity-barometric-pressure = Luftdruck
quantity-ignition-timing = Zündwinkel
quantity-ignition-target = Zündwinkelsoll
quantity-knock-retard = Zündwinkelrücknahme
quantity-knock-level = Klopfpegel
quantity-intake-air-temperature = Ansauglufttemperatur
quantity-charge-air-temperature = Ladelufttemperatur
quantity-compressor-outlet-temperature = Verdichteraustrittstemperatur
quantity-ambient-temperature = Umgebungstemperatur
quantity-relative-humidity = relative Luftfeuchte
quantity-coolant-temperature = Kühlmitteltemperatur
quantity-oil-temperature = Öltemperatur
quantity-oil-pressure = Öldruck
quantity-exhaust-gas-temperature = Abgastemperatur
quantity-fuel-pressure-low = Kraftstoffniederdruck
quantity-fuel-pressure-low-target = Kraftstoffniederdrucksoll
quantity-fuel-pressure-high = Kraftstoffhochdruck
quantity-fuel-pressure-high-target = Kraftstoffhochdrucksoll
quantity-injector-duty = Einspritzventil-Tastverhältnis
quantity-lambda = Lambda
quantity-lambda-target = Lambdasoll
quantity-fuel-trim-short = kurzfristige Gemischkorrektur
quantity-fuel-trim-long = langfristige Gemischkorrektur
quantity-air-mass-flow = Luftmassenstrom
quantity-wastegate-duty = Wastegate-Tastverhältnis
quantity-turbo-speed = Turboladerdrehzahl
quantity-engine-torque = Motordrehmoment
quantity-torque-request = Drehmomentanforderung
quantity-vehicle-speed = Fahrzeuggeschwindigkeit
quantity-roller-speed = Rollengeschwindigkeit
quantity-roller-torque = Rollendrehmoment
quantity-wheel-torque = Raddrehmoment
quantity-wheel-power = Radleistung
quantity-gear = Gang
quantity-battery-voltage = Batteriespannung
quantity-misfire-count = Aussetzerzähler

## Every check: what it needs

not-judged-needs = Nicht beurteilt. Dafür nötig: { $quantities }.
not-judged-distrusted = Nicht beurteilt. Dafür nötig: { $quantities }. Hier nicht zu trauen: { $channels }.
not-judged-not-boosted = Nicht beurteilt: Nichts besagt, dass der Motor aufgeladen ist.
either-or = { $one } oder { $other }

## What was judged

evidence-lacking = Kein Fehler gesehen, aber nicht als in Ordnung bewertet: { $reasons }.
evidence-well = Beurteilt und in Ordnung: { $checks }.
evidence-broken-off-lift = der Lauf ist unvollständig (der Fahrer ging bei { $speed } vom Gas)
evidence-broken-off-limiter = der Lauf ist unvollständig (der Drehzahlbegrenzer griff bei { $speed } ein)
evidence-broken-off-gear-change = der Lauf ist unvollständig (bei { $speed } wurde der Gang gewechselt)
evidence-broken-off-stalled = der Lauf ist unvollständig (die Motordrehzahl stieg ab { $speed } nicht mehr)
evidence-broken-off-session-end = der Lauf ist unvollständig (die Sitzung endete bei { $speed })
evidence-broken-off-source-lost = der Lauf ist unvollständig (bei { $speed } ging eine Quelle verloren)
evidence-no-channels = keine Prüfung hatte die Kanäle, die sie braucht
evidence-no-demand = nichts zeigt, was der Fahrer verlangte (Fahrpedal- oder Drosselklappenstellung aufzeichnen)
evidence-no-knock = Klopfen wurde nicht beurteilt (Zündwinkelrücknahme aufzeichnen)
evidence-no-retard = { $count ->
    [one] die Zündwinkelrücknahme von Zylinder { $cylinders } wurde nicht aufgezeichnet
   *[other] die Zündwinkelrücknahme der Zylinder { $cylinders } wurde nicht aufgezeichnet
    }
evidence-no-boost = der Ladedruck wurde nicht beurteilt ({ $why })
evidence-log-boost-target = sein Soll aufzeichnen
evidence-log-boost = Ladedruck oder Saugrohrdruck und Luftdruck aufzeichnen
evidence-well-throttle = Drosselklappe
evidence-well-ignition = Zündung
evidence-well-boost = Ladedruck
evidence-well-turbo = Turbolader
evidence-well-air-and-torque = Luft und Drehmoment
evidence-well-air-temperatures = Lufttemperaturen
evidence-well-fuel-supply = Kraftstoffversorgung
evidence-well-mixture = Gemisch
evidence-well-engine-temperatures = Motortemperaturen
evidence-well-drive = Antriebsstrang

## Fuel supply

fuel-side-low = Kraftstoffniederdruck
fuel-side-rail = Kraftstoffhochdruck
fuel-held = { $side } auf { $short } genau gehalten.
fuel-drooped = { $side } um bis zu { $short } eingebrochen, { $where }: { $pressure } statt der verlangten { $wanted }.
fuel-drooped-from-before = { $side } um bis zu { $short } eingebrochen, { $where }: { $pressure }, wo vor dem Lauf { $before } anstanden (kein Soll ist aufgezeichnet).
fuel-other-unit = { $side } durchgehend { $pressure } statt der verlangten { $wanted }; damit läuft kein Motor: Einer der beiden Kanäle hat eine andere Einheit, als die Kanalliste sagt.
fuel-injectors-spare = Die Einspritzventile waren höchstens { $duty } der Zeit offen.
fuel-injectors-full = Die Einspritzventile waren bis zu { $duty } der Zeit offen, { $where }; über { $limit } lässt sich kein Kraftstoff mehr zugeben.
fuel-supply-voltage = Die Bordspannung lag im Lauf bei { $voltage }; unter { $limit } sind Kraftstoffpumpe und Zündspulen schwächer, als sie kalibriert wurden.

## Mixture

mixture-lean = Das Gemisch war zu mager: Lambda { $measured } statt { $wanted }, { $where }.
mixture-lean-boosted = Das Gemisch war bei { $boost } Ladedruck zu mager: Lambda { $measured } statt { $wanted }, { $where }.
mixture-lean-no-target = Das Gemisch war zu mager: Lambda { $measured }, { $where }; kein Soll ist aufgezeichnet, und ein aufgeladener Ottomotor darf unter Last nicht magerer als { $leanest } laufen.
mixture-lean-no-target-boosted = Das Gemisch war bei { $boost } Ladedruck zu mager: Lambda { $measured }, { $where }; kein Soll ist aufgezeichnet, und ein aufgeladener Ottomotor darf unter Last nicht magerer als { $leanest } laufen.
mixture-rich = Das Gemisch war zu fett: Lambda { $measured } statt { $wanted }, { $where }.
mixture-trims = Die Gemischkorrekturen mussten im Lauf { $added } Kraftstoff zugeben; um so viel liegt die Kalibrierung oder die Kraftstoffversorgung zu niedrig.
mixture-never-lean = Lambda lag höchstens bei { $leanest }; kein Soll ist aufgezeichnet, und { $limit } ist für einen aufgeladenen Ottomotor unter Last das Magerste.
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
engine-temperatures-oil-pressure-low = Der Öldruck fiel auf { $pressure }, { $where }, das sind { $share } je 1.000 rpm; verlangt sind mindestens { $limit-number }.
engine-temperatures-oil-pressure-well = Öldruck mindestens { $pressure }.
engine-temperatures-cold = Der Lauf begann mit { $temperature } Kühlmitteltemperatur; ein Motor lässt sich ab { $limit } beurteilen.
engine-temperatures-none-came = Nicht beurteilt: Im Lauf kam keine Temperatur.

## Drive

drive-wheels-lag = Die Räder blieben um bis zu { $slip } hinter dem Motor zurück, { $where }: Das dort gezeigte Drehmoment ist falsch.
drive-roller-lags = Die Rolle blieb um bis zu { $slip } hinter den Rädern zurück, { $where }: Das dort gezeigte Drehmoment ist falsch.
drive-speeds-part = Die Rolle blieb um bis zu { $slip } hinter dem Motor zurück, { $where }: Das dort gezeigte Drehmoment ist falsch.
drive-ratio-fell = Kein Schlupf, aber Motor und Räder drehten nicht im festen Verhältnis: Es fiel im Lauf um { $fell } und stieg nicht wieder. Das tut ein Wandler, der überbrückt wird, oder Schlupf, mit dem der Lauf begann.
drive-held-wheels-lag = Motor und Räder drehten von { $low-number } bis { $high } im festen Verhältnis, auf { $slip } genau.
drive-held-roller-lags = Motor, Räder und Rolle drehten von { $low-number } bis { $high } im festen Verhältnis, auf { $slip } genau.
drive-held-speeds-part = Motor und Rolle drehten von { $low-number } bis { $high } im festen Verhältnis, auf { $slip } genau.
road-power = Ohne Prüfstand: Radleistung bis { $power-number } ± { $power-sure } bei { $power-speed }, daraus Drehmoment bis { $torque-number } ± { $torque-sure } bei { $torque-speed }.
road-power-origin = Geschätzt daraus, wie { $mass } auf ebener Straße an Geschwindigkeit gewinnen, mit Rollwiderstand und Luftwiderstand eines typischen Fahrzeugs (übliche Praxis, keine veröffentlichte Quelle), zu 95 % sicher; kein Ersatz für einen Prüfstand und auf einer Rolle ganz ohne Aussage.

## Data

data-impossible = { $channel } zeigte { $value }, was nicht sein kann (möglich sind { $least-number } bis { $most-number }), in { $wrong } von { $samples } Messwerten, { $where }.
data-impossible-sign = { $channel } zeigte { $value }, was nicht sein kann (möglich sind { $least-number } bis { $most-number }), in { $wrong } von { $samples } Messwerten (Zündwinkelrücknahme zählt positiv: das Vorzeichen in der Kanalliste umkehren), { $where }.
data-no-lambda = { $channel } zeigte etwa { $value }, womit kein Motor unter Volllast läuft: ein Luft-Kraftstoff-Verhältnis, das die Kanalliste für Lambda hält, oder ein Sensor in Luft, { $where }.
data-silent = { $channel } war { $silence } lang still, { $where }.
data-silent-often = { $channel } war { $silence } lang still ({ $times } Mal), { $where }.
data-stuck = { $channel } stand für { $share } des Laufs völlig still auf { $value }, { $where }.
data-clipped = { $channel } lag für { $share } des Laufs auf genau { $value }: abgeschnitten, { $where }.
data-pressure-above = { $boost } liegt { $difference } über { $manifold } minus Luftdruck (Median des Laufs): Einer der drei stimmt nicht.
data-pressure-below = { $boost } liegt { $difference } unter { $manifold } minus Luftdruck (Median des Laufs): Einer der drei stimmt nicht.
data-atmosphere-apart = { $boost } und { $target } liegen durchgehend { $difference } auseinander, was der Luftdruck selbst ist: { $absolute } ist ein Absolutdruck, und die Kanalliste hält ihn für Überdruck.
data-too-slow = Zu wenige Messwerte für ein Urteil: { $rates } je 1.000 rpm, nötig sind { $limit }; schneller aufzeichnen oder langsamer hochfahren.
data-rate = { $channel } ({ $rate-number })
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
