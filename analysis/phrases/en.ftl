# What pullwatch says, in English: one phrase a key. { $name } is an amount with its unit, a name or
# a part of the statement; { $name-number } is the amount without its unit. A test holds every key
# and every variable against the code, and the other languages against this file.

as-written = { $text }
joint-and = { $rest } and { $last }

## Why a candidate is no pull

refused-not-running = the engine was not running: { $speed } at its start
refused-no-sweep = no sweep: engine speed rose by { $rise } in { $duration } of full demand, a pull needs { $needed }
refused-short-rise-without-pedal = engine speed rose by { $rise } in { $duration }; without a pedal or throttle channel only { $needed } in at least { $shortest } pass for a pull
refused-not-to-top-speed = without a pedal, throttle or roller channel only a rise to near the engine's top speed passes for a pull (name the top speed in the set-up)
refused-pulling-away = the rise began at { $speed }: without a pedal or throttle channel that passes for pulling away
refused-too-short = too short: full demand and rising speed for { $duration }, a pull needs { $needed }
refused-road-stood-still = free-revving: engine speed rose to { $speed } while { $road } stood still
refused-road-fell-behind = free-revving or slipping clutch: engine speed rose by { $engine } but { $road } by { $road-rise }
refused-too-steep = free-revving: engine speed rose at { $slope }, faster than a car in gear or a roller can follow
refused-speed-held = no sweep: speed was held
refused-never-fully-open = { $demand } was not fully open: the session shows that full is { $full }
refused-partly-open = { $demand } was only partly open for most of the rise: without a pedal channel that passes for part load
refused-throttle-open-without-load = the throttle channel stands open without load: it is not the driver's throttle
refused-intake-flap = { $channel } does not behave like a throttle: it stood open for { $open } while the engine idled or slowed (an intake flap?). It is not used; map the pedal instead

## What a session must bring for a pull to be found

no-pull-without-engine-speed = no pull can be found without engine speed: the map needs an engine_speed channel
no-pull-engine-speed-silent = no pull can be found without engine speed: the map needs an engine_speed channel; silent: { $channels }
no-pull-without-demand = no pull can be found without the driver's demand: the map needs pedal_position (best), throttle_position, manifold_pressure or boost_pressure
no-pull-demand-silent = no pull can be found without the driver's demand: the map needs pedal_position (best), throttle_position, manifold_pressure or boost_pressure; silent: { $channels }

## How a pull's bounds were found

note-demand-from-pressure = no pedal or throttle channel: full demand was taken from { $demand } and the rise of engine speed
note-demand-from-throttle = no pedal channel: the throttle was taken as the driver's demand
note-full-learned = fully open is { $full } on { $channel }, learned from this session
note-session-begins-inside = the session begins inside this pull
note-channel-slow = { $channel } comes only every { $every }
note-engine-speed-slow = engine speed comes only every { $every }
note-engine-speed-missing = engine speed is missing for { $gap } inside this pull

## Quantities

quantity-engine-speed = engine_speed
quantity-pedal-position = pedal_position
quantity-throttle-position = throttle_position
quantity-boost-pressure = boost_pressure
quantity-boost-target = boost_target
quantity-manifold-pressure = manifold_pressure
quantity-barometric-pressure = barometric_pressure
quantity-ignition-timing = ignition_timing
quantity-ignition-target = ignition_target
quantity-knock-retard = knock_retard
quantity-knock-level = knock_level
quantity-intake-air-temperature = intake_air_temperature
quantity-charge-air-temperature = charge_air_temperature
quantity-compressor-outlet-temperature = compressor_outlet_temperature
quantity-ambient-temperature = ambient_temperature
quantity-relative-humidity = relative_humidity
quantity-coolant-temperature = coolant_temperature
quantity-oil-temperature = oil_temperature
quantity-oil-pressure = oil_pressure
quantity-exhaust-gas-temperature = exhaust_gas_temperature
quantity-fuel-pressure-low = fuel_pressure_low
quantity-fuel-pressure-low-target = fuel_pressure_low_target
quantity-fuel-pressure-high = fuel_pressure_high
quantity-fuel-pressure-high-target = fuel_pressure_high_target
quantity-injector-duty = injector_duty
quantity-lambda = lambda
quantity-lambda-target = lambda_target
quantity-fuel-trim-short = fuel_trim_short
quantity-fuel-trim-long = fuel_trim_long
quantity-air-mass-flow = air_mass_flow
quantity-wastegate-duty = wastegate_duty
quantity-turbo-speed = turbo_speed
quantity-engine-torque = engine_torque
quantity-torque-request = torque_request
quantity-vehicle-speed = vehicle_speed
quantity-roller-speed = roller_speed
quantity-roller-torque = roller_torque
quantity-wheel-torque = wheel_torque
quantity-wheel-power = wheel_power
quantity-gear = gear
quantity-battery-voltage = battery_voltage
quantity-misfire-count = misfire_count

## Live alerts

alert-watched-knock-retard = knock retard
alert-watched-lambda-above-target = lambda above target
alert-watched-lambda = lambda
alert-watched-boost-above-target = boost above target
alert-watched-low-fuel-pressure-short = low fuel pressure short of target
alert-watched-high-fuel-pressure-short = high fuel pressure short of target
alert-watched-coolant-temperature = coolant temperature
alert-watched-oil-temperature = oil temperature
alert-watched-exhaust-temperature = exhaust gas temperature
alert-of-cylinder = { $watched } of cylinder { $cylinder }
alert-over = { $watched } is over
alert-beyond = { $watched } is { $value }, limit { $limit }
alert-beyond-at = { $watched } is { $value } at { $speed }, limit { $limit }
alert-beyond-again = { $watched } is again { $value }, limit { $limit }
alert-beyond-again-at = { $watched } is again { $value } at { $speed }, limit { $limit }
alert-kind-knock-retard = knock retard
alert-kind-lean-under-boost = lean under boost
alert-kind-over-boost = over boost
alert-kind-low-fuel-pressure = low fuel pressure
alert-kind-overheating = overheating
alert-kind-source-silent = a silent source
alert-kind-blind = a missing channel
alert-blind-map = blind: the map has no channels to alert of { $kinds }; these alerts cannot come
alert-blind-map-seen = what the map leaves out has been seen
alert-source-silent = source { $source } has sent nothing for { $silence } during a pull
alert-source-never-heard = source { $source } has sent nothing at all, and a pull runs
alert-blind-source = blind: source { $source } has sent nothing for { $silence }, the alerts of its channels cannot come
alert-blind-source-never-heard = blind: source { $source } has sent nothing at all, the alerts of its channels cannot come
alert-blind-channel = blind: { $channel } has sent nothing for { $silence }, its alerts cannot come
alert-blind-channel-never-heard = blind: { $channel } has sent nothing at all, its alerts cannot come
alert-blind-pulls = blind: { $reason }
alert-back = { $what } sends again
alert-pulls-found-again = pulls can be found again

## What a change did to power

gain-peak-more-than-spread = Peak wheel power changed by { $change } (95 %: { $low-number } to { $high }), more than run-to-run spread.
gain-peak-within-spread = Peak wheel power changed by { $change } (95 %: { $low-number } to { $high }), not more than run-to-run spread.
gain-peak-unsettled = Peak wheel power changed by { $change } (95 %: { $low-number } to { $high }), not more than run-to-run spread; { $settle }.
gain-mean-more-than-spread = Mean power over the common speeds changed by { $change } (95 %: { $low-number } to { $high }), more than run-to-run spread.
gain-mean-within-spread = Mean power over the common speeds changed by { $change } (95 %: { $low-number } to { $high }), not more than run-to-run spread.
gain-too-small-to-settle = { $pulls } pulls of each stage would not show a difference this small
gain-settled-by-more-pulls = about { $pulls } more { $pulls ->
    [one] pull
   *[other] pulls
 } of each stage would settle it
gain-interval-alone-claims-nothing = An interval that leaves zero by itself claims nothing here: read off a whole curve, one of several figures does so by chance, and the curves do not differ by more than their runs do.
gain-stretch = { $low-number } to { $high }
gain-where = The curves differ by more than run-to-run spread at { $stretches }; most at { $speed }, by { $change-number } ± { $half-width }.
gain-still-rises = Power still rises at { $speed }, the end of the common speeds: the peaks compared are those within it.
spread-pooled = The run-to-run spread is that of { $stages } stages of this job, { $pulls } pulls.
left-out-incomplete = Pull { $pull } of { $stage } is incomplete and left out.
left-out-other-gear = Pull { $pull } of { $stage } is in another gear and left out.
not-assessable-few-pulls = Not assessable: { $pulls } usable { $pulls ->
    [one] pull
   *[other] pulls
 } of { $stage }, and a spread needs at least { $fewest }.
not-assessable-without-dyno = Not assessable: not every pull has dyno data.
not-assessable-short-overlap = Not assessable: the pulls share less than { $shortest }, and a curve is not extended.
heat-charge-air = Charge air
heat-intake-air = Intake air
heat-explained-by-boost = { $air } was { $warmer } warmer over the upper half of the common speeds; the { $boost } of added boost explain it: compressor and charge cooler make { $least-number } to { $most } of that.
heat-beyond-boost = { $air } was { $warmer } warmer over the upper half of the common speeds; the { $boost } of added boost explain at most { $most } of it. The rest is heat soak, the fan, the cooler or a warmer room.

## What else differed between two stages

differed-gear = Engine turns { $change } for the same roller speed: another gear; torque read from the roller moves by as much.
differed-slip = Engine turns { $change } for the same roller speed: tyre or clutch slip; torque read from the roller moves by as much.
differed-slip-in-pull-of-first = Wheels or clutch slipped by up to { $slip } in pull { $pull } of the first stage: its power stands at the wrong engine speed there; repeat it, or leave it out.
differed-slip-in-pull-of-second = Wheels or clutch slipped by up to { $slip } in pull { $pull } of the second stage: its power stands at the wrong engine speed there; repeat it, or leave it out.
differed-method = Power was not read in the same way in every pull ({ $methods }): part of the difference may be that.
differed-ramp = The ramp was { $before }, then { $after }: an engine of { $inertia } keeps { $kept } for itself by that alone.
differed-air = The air differed: { $standard } would ask { $change } for it ({ $before }, then { $after }).
differed-air-unknown = The air (pressure and temperature) of not every pull is known: what the weather did to power cannot be told from what the change did.
differed-intake-air-at-start = Intake air at the start of the sweep was { $before }, then { $after }.
differed-charge-air-at-start = Charge air at the start of the sweep was { $before }, then { $after }.
differed-coolant-at-start = Coolant at the start of the sweep was { $before }, then { $after }.
differed-oil-at-start = Oil at the start of the sweep was { $before }, then { $after }.
differed-heat-soak-in-first = Heat soak in the first stage: the intake air started { $hotter } hotter in its last pull than in its first.
differed-heat-soak-in-second = Heat soak in the second stage: the intake air started { $hotter } hotter in its last pull than in its first.

## How power was measured

method-wheel-power-sent = wheel power as the dyno's controller sends it
method-wheel-torque-sent = wheel torque, referred to engine speed, as the dyno's controller sends it
method-roller-inertia = roller speed, inertia
method-roller-inertia-and-brake = roller speed, inertia and brake torque
smoothing = local cubic over { $window }, centred (no delay); it moves the peak by about { $shift }
smoothing-moved-peak = The peak is noisy or very sharp: smoothing may have moved it by { $shift }.
loss-percent-of-wheel = Engine figures are wheel figures with { $added } of wheel power added, which says that { $lost } of engine power is lost (common practice, no published source); a fixed percentage also enlarges every gain by as much.
loss-percent-of-engine = Engine figures assume that { $lost } of engine power is lost on the way to the roller (common practice, no published source); a fixed percentage also enlarges every gain.
loss-coast-down = Engine figures add the loss measured in a coast-down at the same road speed; losses that grow with torque (gears, tyre slip) are not in it.
loss-none = Figures are at the wheel: no loss is added.
correction = { $parts }.
correction-made-for-air = { $standard } factor { $factor } for { $pressure } and { $temperature }, humidity left out
correction-made-for-humid-air = { $standard } factor { $factor } for { $pressure } and { $temperature } at { $humidity } humidity ({ $dry } dry)
correction-outside = outside the standard's limits: { $what }
correction-factor-outside = factor { $value } is not in { $low } to { $high }
correction-temperature-outside = temperature { $value } is not in { $low-number } to { $high }
correction-dry-pressure-outside = dry pressure { $value } is not in { $low-number } to { $high }
correction-closed-loop = it over-corrects here: the boost control already makes up for the air, and a factor would count it twice (UN R85 supplement 7 took that double correction out)
correction-lacks = No { $standard } factor: needs { $inputs }.
correction-sae-diesel = No SAE J1349 factor: SAE J1349 gives its formula for spark ignition, and its rationale calls the diesel factors no longer appropriate for most engines with present controls.
uncorrected-closed-loop = Uncorrected: the boost control already makes up for the air, and a factor would count it twice (UN R85 supplement 7 took that double correction out).
uncorrected-as-asked = Uncorrected, as the station file asks: as measured in the air of the day.
air-barometric-pressure = barometric pressure
air-temperature = air temperature
air-relative-humidity = relative humidity
air-temperature-from-intake = Air temperature is the car's own intake sensor, which heat soak raises: 10 K too hot is 2 % too much corrected power in dry air and 4 % in humid air.
air-pressure-is-the-standard-value = Barometric pressure is the standard sea-level value, not a reading of this station.
air-pressure-impossible = Barometric pressure { $pressure } is not possible at any workshop.
air-pressures-differ = The station file says { $given }, the channel { $measured }: a weather service gives sea-level pressure, which is not the station's; the channel was used (common practice, no published source).
air-pressure-perhaps-sea-level = Barometric pressure { $pressure } is { $over } above the standard at { $altitude }. If it came from a weather service, or from an instrument that is set to sea level, it is sea-level pressure, and the station's would be { $here }.
road-estimate = Estimated from { $mass } gaining speed on a level road, with rolling resistance and drag of a typical car (common practice, no published source), 95 % sure; no substitute for a dyno, and none at all on a roller.

## Verdicts and cautions

severity-healthy = healthy
severity-look-closer = look closer
severity-stop = stop
severity-note = not judged
finding-note = note
caution-restraint-subject = Restraint
caution-restraint = Strap the car down at the points its maker allows, check the straps and the tyres before every pull, and let nobody stand before or behind the car.
caution-rotating-parts-subject = Rotating parts
caution-rotating-parts = Keep people, hair, clothes and cables away from wheels, rollers, shafts and belts.
caution-exhaust-gas-subject = Exhaust gas
caution-exhaust-gas = Run only with exhaust extraction and fresh air; carbon monoxide kills without a smell.
caution-fire-subject = Fire
caution-fire = Have a suitable extinguisher within reach and a person free to use it; stop at the first smell of fuel.
caution-hot-parts-subject = Hot parts
caution-hot-parts = Exhaust, turbocharger, brakes, coolant and tyres burn; let them cool before touching.
caution-live-alerts-subject = Live alerts
caution-live-alerts = Live alerts are no safety device. They can be late, wrong or missing: watch the car, and be ready to lift at any moment.
caution-law-subject = Law and maker
caution-law = Follow local law (emissions and type approval may forbid a change on the road) and what the vehicle's maker says of load, tyres and cooling.
caution-who-decides-subject = Who decides
caution-who-decides = These figures and findings inform a trained person; licensed practice decides whether the car is fit to drive.

## The report

report-title = Report: { $job }
report-fuel = fuel: { $fuel }
report-is-it-healthy = Is the engine healthy while it makes its power?
report-explained-healthy = In every pull that counts, everything that could be judged was in order.
report-explained-look-closer = Something should be looked at before more is asked of the engine.
report-explained-stop = Do not drive at full load until the cause is found and mended.
report-explained-note = Too little could be measured to judge the engine.
report-what-changed = What changed from “{ $before }” to “{ $after }”, power at the wheel, uncorrected
report-gain = { $change } at the peak (95 % sure between { $low } and { $high }).
report-gain-within-spread = Not more than run-to-run spread: { $change } at the peak (95 % sure between { $low } and { $high }).
report-gain-unknown = The pulls do not allow a statement about the change of power.
report-but = But: { $doubt }
report-settings-changed = The station's settings of car or dyno were not the same for all of these pulls: each is judged by those that held when it was made.
report-no-pull = No pull has been made for this job, or none counts.
report-what-was-done = What was done
report-table = Table
report-stage = Stage
report-pulls-that-count = Pulls that count
report-peak-power = Peak power at the wheel, uncorrected
report-by-standard = the same by { $standard }
report-at-the-engine = at the engine, { $loss }, uncorrected
report-peak-torque = Peak torque from wheel power, uncorrected
report-changed = Changed: { $what }
report-agreed = Agreed:
report-lines-are-means = Lines are the mean of a stage's pulls.
report-band = The tinted band is how far chance from run to run could move the difference (95 %, over the whole curve at once).
report-conditions = Conditions
report-air-pressure = Air pressure at the dyno
report-air-temperature = Air temperature
report-humidity = Relative humidity
report-air-origin = Origin of these
report-value = { $value }
report-range = { $low } to { $high }
report-days = { $first } to { $last }
report-how-the-engine-is = How the engine is doing
report-looked-at = What was looked at
report-seen = What was seen
report-of-stage = { $stage }: { $seen }
report-fine = in every stage where it could be judged: { $checks }.
report-unjudged = with the sensors of this car and dyno: { $checks }.
report-how-to-read = How to read the figures
report-power-comes-from = Power comes from { $method }.
report-smoothing = Smoothing: { $smoothing }.
report-not-to-be-compared = Figures of different dynos, days or corrections must not be compared with one another.
report-cautions = Cautions
report-sign-off = Sign-off
report-content = Content { $hash }.
report-calibrator-signs = Calibrator, date
report-customer-signs = Customer, date
report-annex = Technical annex
report-against = Against { $stage }
report-what-else-differed = What else differed:
report-pull = Pull { $number }
report-sweep = { $low-number } to { $high } in { $duration }, ended by { $ended }
report-incomplete = incomplete
report-does-not-count = Does not count: { $why }
report-before-it-began = Before it began.
report-check = Check
report-severity = Severity
report-finding = Finding
report-value-of-finding = Value
report-limit = Limit
report-limit-origin = Origin of the limit
report-cause = Cause: { $cause } ({ $sure } % sure).
report-settled-by = Would settle it: { $how }
report-corrections = Corrections for this pull (power times factor):
report-power-table = Power at the wheel, uncorrected, { $unit }
report-turbocharger = Turbocharger
report-compressor-drawn = Every pull that counts, where its boost is worth a compressor. The inlet is taken at ambient, the outlet at the manifold: filter and charge cooler hide a tenth of a ratio or two, so the compressor works a little higher than is drawn.
report-refused = Candidates that were no pull
report-refused-candidate = { $start-number } to { $end } of session { $session }: { $reason }
chart-engine-speed = Engine speed in rpm
chart-power = Power at the wheel, uncorrected
chart-power-every-pull = Power at the wheel, uncorrected, every pull
chart-compressor = On the compressor map
chart-air-flow = Air flow in g/s, corrected to the map's reference
chart-pressure-ratio = Pressure ratio
chart-surge-line = surge line
chart-turbo-speed-lines = lines of turbo speed, { $low-number } to { $high }
loss-convention-at-the-wheel = at the wheel
loss-convention-percent-of-wheel-power-added = percent of wheel power added
loss-convention-percent-of-engine-power-lost = percent of engine power lost
loss-convention-measured-coast-down = measured coast-down

## A pull in one line

headline-healthy = Nothing found that should not be there.
headline-too-little-seen = Too little was seen to judge it.
