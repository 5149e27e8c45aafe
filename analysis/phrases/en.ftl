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
note-begins-late = the beginning is missing: engine speed came only from { $speed } on
note-begins-behind-silence = the beginning is missing: engine speed was silent for { $silence }, until { $speed }
note-channel-slow = { $channel } comes only every { $every }
note-engine-speed-slow = engine speed comes only every { $every }
note-engine-speed-missing = engine speed is missing for { $gap } inside this pull
## Where in a pull

where-between = between { $low-number } and { $high }
where-at = at { $speed }
where-time = from { $start-number } to { $end }

## Causes: what they are called, and what would settle them

cause-low-octane-fuel = fuel of too low an octane number
cause-low-octane-fuel-settled-by = Repeat on fuel of known octane at the same charge temperature.
cause-single-cylinder-knock = one knocking cylinder
cause-single-cylinder-knock-settled-by = Swap that cylinder's plug and injector with a neighbour's: if the knock moves with one of them, that is it; if not, look into the cylinder.
cause-hot-charge-air = hot charge air
cause-hot-charge-air-settled-by = Cool down with the fan on the charge cooler and repeat the pull.
cause-ignition-intervention = torque taken by the ignition (traction, gearbox or torque limit)
cause-ignition-intervention-settled-by = Log the torque request and the states of traction and gearbox control; repeat in the dyno mode of the car.
cause-boost-leak = a boost leak
cause-boost-leak-settled-by = Pressure-test the tract from the compressor to the cylinder head.
cause-wastegate-stuck-open = a wastegate stuck open
cause-wastegate-stuck-open-settled-by = Move the wastegate by hand or vacuum pump; check its preload. Fuel, clutch and knock were hardly loaded without boost: judge them by the pull after.
cause-wastegate-stuck-closed = a wastegate stuck closed
cause-wastegate-stuck-closed-settled-by = Move the wastegate by hand or pressure; check its hose and valve before the next pull.
cause-turbo-overspeed = a turbo driven beyond its speed
cause-turbo-overspeed-settled-by = Lower the boost at these engine speeds and repeat; check filter and charge pipes first.
cause-belt-slip = a slipping blower belt
cause-belt-slip-settled-by = Check the belt for glazing and its tension, then repeat.
cause-boost-oscillation = boost control that swings
cause-boost-oscillation-settled-by = Repeat with the duty fixed: if it still swings, it is mechanical.
cause-restricted-intake = a restricted intake
cause-restricted-intake-settled-by = Repeat without the filter, or measure pressure before the turbo.
cause-restricted-exhaust = a restricted exhaust
cause-restricted-exhaust-settled-by = Measure back-pressure before the catalyst, or repeat with it open.
cause-weak-low-pressure-fuel-pump = a weak low-pressure fuel pump
cause-weak-low-pressure-fuel-pump-settled-by = Measure the pump's delivery and supply voltage under load.
cause-weak-high-pressure-fuel-pump = a weak high-pressure fuel pump
cause-weak-high-pressure-fuel-pump-settled-by = Repeat with low-side pressure logged: if that holds, the high-pressure pump is it.
cause-injector-limit = injectors at their limit
cause-injector-limit-settled-by = Repeat with less boost: if mixture recovers, it is the injectors.
cause-fuel-quantity-error = a fuel quantity that does not match the air (injectors, their characteristic, or the air meter)
cause-fuel-quantity-error-settled-by = Compare the air meter with speed density, and the injectors with their data; read the trims at part load.
cause-ethanol-content = fuel of another ethanol content than the controller reckons with
cause-ethanol-content-settled-by = Test the fuel for ethanol, or log the controller's ethanol content.
cause-speed-limiter = a speed limiter that cuts in early
cause-speed-limiter-settled-by = Read the calibration's speed limits and the fault memory; repeat with the engine warm.
cause-protective-throttle-closure = the controller protecting the engine
cause-protective-throttle-closure-settled-by = Log the controller's torque limits beside the throttle, or read its fault memory.
cause-misfire = misfire
cause-misfire-settled-by = Log misfire counts by cylinder; look at that cylinder's plug and coil.
cause-tyre-slip = tyre slip on the roller
cause-tyre-slip-settled-by = Strap the car down harder, or repeat in a higher gear.
cause-clutch-slip = clutch slip
cause-clutch-slip-settled-by = Repeat at part pedal or with less boost: with less engine torque a slipping clutch holds.
cause-overheating = an overheating engine
cause-overheating-settled-by = Let it cool, check the fan and coolant level, and repeat.
cause-sensor-fault = a sensor or its wiring
cause-sensor-fault-settled-by = Check the sensor's wiring and compare it with a second instrument.
cause-clock-offset = clocks that are apart
cause-clock-offset-settled-by = Log both sources through one adapter, or name the dyno's own time in the map (clock).

## Symptoms as evidence for or against a cause

symptom-speed-limited-seen = the speed limiter cut in early
symptom-speed-limited-not-seen = the speed limiter cut in at the stated top speed
symptom-throttle-closed-seen = the throttle closed under full pedal
symptom-throttle-closed-not-seen = the throttle stayed open
symptom-one-cylinder-retarded-seen = one cylinder was retarded far more than the others
symptom-one-cylinder-retarded-not-seen = no cylinder stands out
symptom-all-cylinders-retarded-seen = all cylinders were retarded more than the charge air explains
symptom-all-cylinders-retarded-not-seen = the cylinders together were not retarded beyond what the charge air explains
symptom-retard-from-heat-seen = the retard is what charge air this hot costs
symptom-retard-from-heat-not-seen = hot charge air explains no retard
symptom-retard-fixed-seen = the same retard stood on every cylinder all the way
symptom-retard-fixed-not-seen = the retard came and went in steps
symptom-timing-below-target-seen = ignition was later than asked for, and knock control had not taken it
symptom-timing-below-target-not-seen = ignition was as asked for but for knock
symptom-boost-low-seen = boost stayed below its target
symptom-boost-low-not-seen = boost reached its target
symptom-spools-late-seen = boost reached its target later than in earlier pulls
symptom-spools-late-not-seen = boost reached its target no later than in earlier pulls
symptom-boost-high-seen = boost went over its target
symptom-boost-high-not-seen = boost never went over
symptom-boost-oscillates-seen = boost swung around its target
symptom-boost-oscillates-not-seen = boost was steady
symptom-wastegate-asks-closed-seen = the wastegate was commanded fully shut while boost was short
symptom-wastegate-asks-closed-not-seen = the wastegate had travel left to close
symptom-wastegate-asks-open-seen = the wastegate was commanded fully open while boost was over
symptom-wastegate-asks-open-not-seen = the wastegate had travel left to open
symptom-air-flow-high-seen = more air was measured than the cylinders can take
symptom-air-flow-high-not-seen = air flow matches the cylinders
symptom-air-flow-grew-seen = the engine took in more air for the same pressure than in earlier pulls
symptom-air-flow-grew-not-seen = the engine took in no more air for the same pressure than in earlier pulls
symptom-air-flow-low-seen = the cylinders took less air than their pressure should give
symptom-air-flow-low-not-seen = the cylinders filled as they should
symptom-torque-short-seen = torque stayed below its request with boost on target
symptom-torque-short-not-seen = torque was what was asked for
symptom-compressor-labours-seen = the compressor worked harder than this boost needs
symptom-compressor-labours-not-seen = the compressor worked no harder than this boost needs
symptom-charge-air-hot-seen = the charge air was hot
symptom-charge-air-hot-not-seen = the charge air was cool
symptom-heat-soak-seen = the charge air started hotter than in the pulls before
symptom-heat-soak-not-seen = the charge air started no hotter than before
symptom-cooler-weak-seen = the charge cooler took too little heat out
symptom-cooler-weak-not-seen = the charge cooler did its work
symptom-turbo-fast-seen = the turbo turned faster than it is made for
symptom-turbo-fast-not-seen = the turbo turned no faster than it is made for
symptom-blower-boost-short-seen = the blower gave less boost than its speed should
symptom-blower-boost-short-not-seen = the blower gave the boost that its speed should
symptom-intake-drops-seen = the intake took much of the air's pressure
symptom-intake-drops-not-seen = the intake took little of the air's pressure
symptom-intake-hot-seen = the air was hot before the compressor already
symptom-intake-hot-not-seen = the air before the compressor was cool
symptom-low-pressure-droops-seen = low-side fuel pressure drooped
symptom-low-pressure-droops-not-seen = low-side fuel pressure held
symptom-high-pressure-droops-seen = rail pressure drooped
symptom-high-pressure-droops-not-seen = rail pressure held
symptom-injector-full-seen = the injectors had no time left
symptom-injector-full-not-seen = the injectors had time to spare
symptom-mixture-lean-seen = the mixture ran lean
symptom-mixture-lean-not-seen = the mixture held its target
symptom-mixture-rich-seen = the mixture ran rich
symptom-mixture-rich-not-seen = the mixture was not rich
symptom-trims-add-seen = the trims were adding fuel
symptom-trims-add-not-seen = the trims were small
symptom-trims-take-seen = the trims were taking fuel away
symptom-trims-take-not-seen = the trims took little away
symptom-coolant-hot-seen = the coolant was hot
symptom-coolant-hot-not-seen = the coolant was in its range
symptom-oil-hot-seen = the oil was hot
symptom-oil-hot-not-seen = the oil was in its range
symptom-exhaust-hot-seen = the exhaust gas was hot
symptom-exhaust-hot-not-seen = the exhaust gas was not hot
symptom-oil-pressure-low-seen = oil pressure was low
symptom-oil-pressure-low-not-seen = oil pressure was good
symptom-misfires-seen = misfires were counted
symptom-misfires-not-seen = no misfire was counted
symptom-roller-lags-seen = the roller fell behind the wheels
symptom-roller-lags-not-seen = the tyres held the roller
symptom-wheels-lag-seen = the wheels fell behind the engine
symptom-wheels-lag-not-seen = the wheels followed the engine
symptom-speeds-part-seen = the roller fell behind the engine
symptom-speeds-part-not-seen = engine and roller turned in proportion
symptom-channel-stuck-seen = a channel stood still
symptom-channel-stuck-not-seen = no channel stood still
symptom-channel-clipped-seen = a channel sat at the end of its range
symptom-channel-clipped-not-seen = no channel sat at the end of its range
symptom-channel-gaps-seen = a channel dropped out
symptom-channel-gaps-not-seen = no channel dropped out
symptom-channel-impossible-seen = a channel showed values that cannot be
symptom-channel-impossible-not-seen = every value is possible
symptom-channels-disagree-seen = two channels of the same thing disagree
symptom-channels-disagree-not-seen = the channels agree with each other
symptom-clocks-apart-seen = the dyno's clock and the engine's are apart
symptom-clocks-apart-not-seen = the clocks agree

## How causes are put forward

explain-points-to = Points to { $cause }.
explain-points-to-for = Points to { $cause }: { $reasons }.
explain-perhaps = Perhaps { $cause }.
explain-perhaps-for = Perhaps { $cause }: { $reasons }.
explain-against = Against it: { $reasons }.
explain-not-explained = Not explained by what is logged.
explain-log = Log { $channels }.
explain-also-possible = Also possible: { $cause }.
explain-also-possible-for = Also possible: { $cause } ({ $reasons }).

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
alert-watched-lasting-knock-retard = lasting knock retard
alert-watched-oil-pressure = oil pressure
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
alert-below = { $watched } is { $value }, at least { $limit } wanted
alert-below-at = { $watched } is { $value } at { $speed }, at least { $limit } wanted
alert-below-again = { $watched } is again { $value }, at least { $limit } wanted
alert-below-again-at = { $watched } is again { $value } at { $speed }, at least { $limit } wanted
alert-kind-knock-retard = knock retard
alert-kind-lean-under-boost = lean under boost
alert-kind-over-boost = over boost
alert-kind-low-fuel-pressure = low fuel pressure
alert-kind-overheating = overheating
alert-kind-low-oil-pressure = low oil pressure
alert-kind-source-silent = a silent source
alert-kind-blind = a missing channel
severity-law-stop = While the pull ran, this was a stop: { $alert }.
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

## How sure a figure of power is

measure-wheel-power = Peak wheel power
measure-wheel-torque = Peak torque from wheel power
measure-engine-power = Peak engine power by the loss convention
measure-engine-torque = Peak engine torque by the loss convention
measure-corrected-power = Peak wheel power, corrected
influence-inertia = inertia of the roller
influence-roller-radius = radius of the roller
influence-brake-torque = torque of the brake
influence-sent-power = power or torque as the controller sends it
influence-engine-speed = engine speed
influence-loss = the loss that is added
influence-pressure = air pressure
influence-temperature = air temperature
influence-humidity = humidity
influence-smoothing = smoothing at the peak
influence-readings = scatter of the readings
influence-runs = how the pulls differ among themselves
origin-station-file = by the station file
origin-common-practice = usual tolerances (common practice, no published source)
origin-published = tolerance of EU 134/2014
origin-measured = measured
uncertainty-part = { $influence } { $standard }
uncertainty-parts = { $origin }: { $parts }
uncertainty-budget = { $measure }: { $value } ± { $half-width } at { $speed } (95 %, ± { $expanded }). Standard uncertainties in per cent of it, { $parts }. Together { $standard }, times { $factor } for 95 % (JCGM 100).
uncertainty-of-curve = At any one engine speed, wheel power of a single pull is known to ± { $least-number } to { $most } (95 %); most of that all pulls on this dyno share, and it cancels in a comparison.
power-beyond-displacement = { $power } at { $speed } cannot be: from { $displacement-number } l that is a mean effective pressure of { $pressure }, and no four-stroke makes more than about { $most } at { $manifold } absolute in its manifold. Check whether the torque is that at the axle and not at the engine (gear and final drive are then in it), the gear ratio, the dyno's inertia and radius, and the displacement; a two-stroke or a rotary makes twice as much of its displacement.
power-beyond-air-flow = { $power } at { $speed } cannot be: the { $flow } of air that was measured there burn fuel for at most about { $most }. Check whether the torque is that at the axle and not at the engine (gear and final drive are then in it), the gear ratio, the dyno's inertia and radius, and the air meter; nitrous oxide brings air that no meter sees.
power-beyond-ecu-torque = { $power } at { $speed } is doubtful: it is { $torque } at the engine, where the ECU reckons { $ecu }. Check whether the torque is that at the axle and not at the engine (gear and final drive are then in it), the gear ratio, and the dyno's inertia and radius.

## What a change did to power

gain-peak-more-than-spread = Peak wheel power changed by { $change } (95 %: { $low-number } to { $high }), more than run-to-run spread.
gain-peak-within-spread = Peak wheel power changed by { $change } (95 %: { $low-number } to { $high }), not more than run-to-run spread.
gain-mean-more-than-spread = Mean power over the common speeds changed by { $change } (95 %: { $low-number } to { $high }), more than run-to-run spread.
gain-mean-within-spread = Mean power over the common speeds changed by { $change } (95 %: { $low-number } to { $high }), not more than run-to-run spread.
gain-too-small-to-settle = { $pulls } pulls of each stage would not show a difference this small
gain-settled-by-more-pulls = about { $pulls } more { $pulls ->
    [one] pull
   *[other] pulls
 } of each stage would settle it
gain-peak-with-drift = Peak wheel power changed by { $change } (95 %, with drift allowed for: { $low-number } to { $high }).
gain-peak-alone-claims-nothing = Peak wheel power changed by { $change } (95 %: { $low-number } to { $high }), but that alone claims nothing: of several figures one leaves zero by chance, and neither mean power nor the shape of the curve differs by more than the runs do.
gain-mean-unsettled = Mean power over the common speeds changed by { $change } (95 %: { $low-number } to { $high }), not more than run-to-run spread; { $settle }.
gain-mean-perhaps-drift = Mean power over the common speeds changed by { $change } (95 %, with drift from pull to pull allowed for: { $low-number } to { $high }). That is more than run-to-run spread, but so few pulls do not rule out that power drifted by as much; { $settle }.
gain-settled-by-baseline-again = the first of these two states driven again at the end would settle it
gain-drift-fell = Within the stages, power fell from pull to pull: { $change } a pull (95 %: { $low-number } to { $high }), as with heat soak. A later stage reads low by it; the intervals allow for that. Drive the first of these two states again at the end: what it has lost by then is drift.
gain-drift-rose = Within the stages, power rose from pull to pull: { $change } a pull (95 %: { $low-number } to { $high }), as with oil and gearbox still warming. A later stage reads high by it; the intervals allow for that. Drive the first of these two states again at the end: what it has gained by then is drift.
gain-shape = The shape of the curve changed by more than run-to-run spread at { $stretches }; most at { $speed }, by { $change } of mean power ± { $half-width } (99 %, each pull against its own mean).
gain-at-no-single-speed = At no single engine speed is the difference more than run-to-run spread by itself; over the common speeds together it is.
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
air-pressure-not-of-this-station = The air pressure { $pressure } is { $over } above what { $altitude } of altitude has in ordinary weather: it looks like a weather service's sea-level pressure, which at this station would be { $here }.
air-pressure-perhaps-sea-level = Barometric pressure { $pressure } is { $over } above the standard at { $altitude }. If it came from a weather service, or from an instrument that is set to sea level, it is sea-level pressure, and the station's would be { $here }.

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
report-plus-minus = ± is the expanded uncertainty at 95 %: what the dyno, the air and the pulls leave open (the technical part says where it comes from). Two dynos agree where their ± overlap.
report-uncertainty = Where the ± comes from
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
## Every check: what it needs

not-judged-needs = Not judged: needs { $quantities }.
not-judged-distrusted = Not judged: needs { $quantities } ({ $channels } cannot be trusted here).
not-judged-not-boosted = Not judged: nothing says that the engine is boosted.
either-or = { $one } or { $other }

## What kind of engine it was judged as

engine-kind-open = What the station file leaves open was taken from the pull.
engine-kind-taken-for = Judged as { $kind }: { $evidence }.
engine-kind-though-stated = { $evidence }, though the station file says that it has no compressor
engine-kind-logged = { $quantity } is logged
engine-kind-diesel = a diesel runs lean
engine-kind-diesel-rail = the rail holds { $rail }
engine-kind-revs = it turns { $speed }
engine-kind-rich = at full load it runs at lambda { $mixture }
engine-kind-lean = at full load it runs at lambda { $mixture } from end to end
engine-kind-boost = { $quantity } reaches { $boost }
engine-kind-manifold-above = the manifold reaches { $manifold } absolute, far above the air's own pressure
engine-kind-boost-instant = boost comes with the pedal, without a turbo's time to spool
engine-kind-never-boosted = the manifold never rises above the air's own pressure
engine-kind-mixture = { $quantity } stays at { $mixture }
engine-kind-spark = a spark-ignition engine
engine-kind-compression = a diesel engine
engine-kind-naturally-aspirated = a naturally aspirated engine
engine-kind-turbocharger = an engine with a turbocharger
engine-kind-blower = an engine with a blower
engine-kind-boosted = a boosted engine

## What was judged

coverage-lacking = No fault seen, but not called healthy: { $reasons }.
coverage-well = What was judged is well: { $checks }.
coverage-broken-off-lift = the pull is incomplete (the driver let go at { $speed })
coverage-broken-off-limiter = the pull is incomplete (the speed limiter cut in at { $speed })
coverage-broken-off-gear-change = the pull is incomplete (the gear was changed at { $speed })
coverage-broken-off-stalled = the pull is incomplete (engine speed no longer rose at { $speed })
coverage-broken-off-session-end = the pull is incomplete (the session ended at { $speed })
coverage-broken-off-source-lost = the pull is incomplete (a source was lost at { $speed })
coverage-begins-late = the pull is incomplete (its beginning is missing: what there is starts at { $speed })
coverage-read-too-seldom = what the verdict rests on was read too seldom
coverage-no-channels = no check had the channels it needs
coverage-no-demand = nothing shows what the driver asked for (log pedal or throttle position)
coverage-no-knock = knock was not judged (log knock retard)
coverage-no-retard = { $count ->
    [one] knock retard of cylinder { $cylinders } was not logged
   *[other] knock retard of cylinders { $cylinders } was not logged
    }
coverage-no-knock-nor-timing = neither knock nor timing was judged (log knock retard, or ignition timing)
coverage-no-mixture = mixture was not judged ({ $why })
coverage-log-lambda = log lambda
coverage-log-lambda-target = log its target
coverage-no-rail = rail pressure was not judged (log it and its target)
coverage-no-exhaust = neither mixture nor exhaust temperature was judged (log lambda and its target, or exhaust gas temperature)
coverage-no-boost = boost was not judged ({ $why })
coverage-log-boost-target = log its target
coverage-log-boost = log boost, or manifold and barometric pressure
coverage-well-throttle = throttle
coverage-well-ignition = ignition
coverage-well-boost = boost
coverage-well-blower = blower
coverage-well-intake = intake
coverage-well-turbo = turbo
coverage-well-air-and-torque = air and torque
coverage-well-air-temperatures = air temperatures
coverage-well-fuel-supply = fuel supply
coverage-well-mixture = mixture
coverage-well-engine-temperatures = engine temperatures
coverage-well-speed-limiter = speed limiter
coverage-well-drive = drive

## Fuel supply

fuel-side-low = Low-side fuel pressure
fuel-side-rail = Rail pressure
fuel-held-target = { $side } stayed within { $short } of its target.
fuel-held-before = { $side } fell by no more than { $short } from what it was before the sweep.
fuel-held-earlier = { $side } was no more than { $short } below the pulls before at the same engine speed.
fuel-too-few = { $side } not judged: too few readings came to tell a droop from one that came late.
fuel-briefly-short = For less than { $duration } it was { $short } short.
fuel-lag-allowed = It follows its target { $lag } late, which is allowed for.
fuel-drooped-target = { $side } drooped by up to { $short } { $where }: { $pressure } where { $wanted } were wanted.
fuel-drooped-before = { $side } drooped by up to { $short } { $where }: { $pressure } where { $wanted } stood before the sweep (no target is logged, but at part load and at full the pump held the same).
fuel-drooped-earlier = { $side } was up to { $short } lower { $where } than in the pulls before: { $pressure } where it had at least { $wanted } at the same engine speed (no target is logged).
fuel-low-side-steady = Low-side fuel pressure not judged: no target is logged. It fell by no more than { $fell } from the { $start } that the sweep began with.
fuel-low-side-open = Low-side fuel pressure not judged: no target is logged, and nothing says that this pump holds one pressure. It fell from { $start } to { $least } in the sweep.
fuel-low-side-fell = Low-side fuel pressure fell from { $start } to { $least } { $where } while the engine asked for more; no target is logged, but no control lowers it that far.
fuel-other-unit = { $side } read { $pressure } where { $wanted } were wanted from end to end; no engine runs on that: one of the two channels has another unit than the map says.
fuel-injectors-spare = The injectors were open at most { $duty } of the time.
fuel-injectors-briefly-full = The injectors were open at most { $duty } of the time, but for less than { $duration } up to { $top }.
fuel-injectors-no-reserve = The injectors were open up to { $duty } of the time { $where }, past { $limit }: the mixture held, but hardly any reserve is left for colder air or more boost.
fuel-injectors-full = The injectors were open up to { $duty } of the time { $where }; past { $limit } there is no fuel left to add.
fuel-supply-voltage = The supply was at { $voltage } in the pull; below { $limit } the fuel pump and the coils are weaker than they were calibrated for.

## Mixture

mixture-lean = The mixture ran lean: lambda { $measured } where { $wanted } was wanted, { $where }.
mixture-lean-boosted = The mixture ran lean under { $boost } of boost: lambda { $measured } where { $wanted } was wanted, { $where }.
mixture-lean-no-target = The mixture ran lean: lambda { $measured } { $where }; no target is logged, and at full load this engine is not to run leaner than { $leanest }.
mixture-leaned-out = The mixture leaned out at full load: lambda rose from { $richest } to { $measured } { $where }; no target is logged.
mixture-under-boost = Boost was { $boost } there.
mixture-smoke = The engine ran rich for a diesel: lambda { $measured } { $where }, and below { $limit } it smokes.
mixture-no-smoke = Lambda was at least { $richest }: lean, as a diesel is by design; below { $limit } it would smoke.
mixture-very-rich = Lambda was down to { $richest } { $where }: that rich costs power and washes the oil off the bores.
mixture-steady = Lambda was { $richest } to { $leanest } at full load and did not lean out; no target is logged.
mixture-steady-cool = Lambda was { $richest } to { $leanest } at full load, with exhaust gas at { $exhaust } at most; no target is logged, and a mixture near 1 is no fault by itself while the exhaust gas stays cool enough.
mixture-steady-open = Mixture not judged: lambda was { $richest } to { $leanest } at full load under boost, and without a lambda target or exhaust temperature nobody can say whether this engine is made for it.
mixture-too-few = Mixture not judged: too few readings of lambda at full load after the probe's own lag.
mixture-lag = The probe comes { $lag } behind its target; that is allowed for.
mixture-rich = The mixture ran rich: lambda { $measured } where { $wanted } was wanted, { $where }.
mixture-trims-before = Before the pull, at part load, the trims had to add { $trim } of fuel.
mixture-trims-take-before = Before the pull, at part load, the trims had to take { $trim } of fuel away.
mixture-trims = The trims had to add { $trim } of fuel in the pull; the calibration or the fuel supply is short by that much.
mixture-trims-take = The trims had to take { $trim } of fuel away in the pull; the engine got that much more than was reckoned with.
mixture-never-lean = Lambda was at most { $leanest } at full load; no target is logged, and what runs rich is not to lean out beyond { $limit }.
mixture-never-rich = Lambda was at least { $richest }, never much richer than its target; a compression-ignition engine runs lean by design.
mixture-held = Lambda held its target within { $error } ({ $first } at the start, { $last } at the end).
mixture-held-but-moments = Lambda held its target but for moments of less than { $moment } ({ $first } at the start, { $last } at the end).

## Engine temperatures and pressures

fluid-coolant = Coolant
fluid-oil = Oil
fluid-exhaust = Exhaust gas
engine-temperatures-hot = { $fluid } reached { $temperature } { $where }; the limit is { $limit }.
engine-temperatures-stop = From { $limit } on, stop.
engine-temperatures-well = { $fluid } at most { $temperature }.
engine-temperatures-oil-pressure-low = Oil pressure was { $pressure } { $where }; at that speed it must be at least { $limit }.
engine-temperatures-oil-pressure-well = Oil pressure at least { $pressure }.
oil-pressure-unusual = Oil pressure was { $pressure } { $where }; an engine of this kind has at least { $usual } there.
oil-pressure-falls = Oil pressure fell to { $pressure } { $where } while engine speed rose; it had been at { $before }. A pump gives more with speed: look for air in the oil, a low level, a relief valve that hangs.
oil-pressure-below-earlier = Oil pressure was { $pressure } { $where }; in the pulls before it had at least { $before } at the same engine speed, warmer oil allowed for.
engine-temperatures-cold = The pull began with the coolant at { $temperature }; an engine is worth judging from { $limit }.
engine-temperatures-none-came = Not judged: no temperature came in the pull.

## Drive

drive-wheels-lag = The wheels fell behind the engine by up to { $slip } { $where }: the torque shown there is wrong.
drive-roller-lags = The roller fell behind the wheels by up to { $slip } { $where }: the torque shown there is wrong.
drive-speeds-part = The roller fell behind the engine by up to { $slip } { $where }: the torque shown there is wrong.
drive-ratio-fell = No slip, but engine and wheels did not turn in proportion: their ratio fell by { $fell } in the pull and did not rise again. A converter that locks does that, or slip that the pull began with.
drive-too-few = Not judged: too few readings of wheel or roller speed came in the pull.
drive-gear-changed = The gear changed { $where }: but for the speeds, nothing is judged there.
drive-held-wheels-lag = Engine and wheels turned in proportion from { $low-number } to { $high }, within { $slip }.
drive-held-roller-lags = Engine, wheels and roller turned in proportion from { $low-number } to { $high }, within { $slip }.
drive-held-speeds-part = Engine and roller turned in proportion from { $low-number } to { $high }, within { $slip }.
road-power = Without a dyno: power at the wheel up to { $power-number } ± { $power-sure } at { $power-speed }, torque from it up to { $torque-number } ± { $torque-sure } at { $torque-speed }.
road-power-origin = Estimated from { $mass } gaining speed on a level road, with rolling resistance and drag of a typical car (common practice, no published source), 95 % sure; no substitute for a dyno, and none at all on a roller.

## Data

data-impossible = { $channel } showed { $value }, which cannot be ({ $least-number } to { $most-number } can), in { $wrong } of { $samples } samples { $where }.
data-impossible-sign = { $channel } showed { $value }, which cannot be ({ $least-number } to { $most-number } can), in { $wrong } of { $samples } samples (retard counts positive: turn the sign in the map) { $where }.
data-no-lambda = { $channel } read about { $value }, which no engine runs with at full load: an air-fuel ratio that the map takes for lambda (say unit AFR and its stoichiometric ratio there), or a sensor in air, { $where }.
data-silent = { $channel } was silent for { $silence } { $where }.
data-silent-often = { $channel } was silent for { $silence } ({ $times } times) { $where }.
data-source-silent = The source { $source } said nothing for { $silence } { $where }: its device, adapter or cable paused, or the computer did.
data-source-partly-silent = { $channels } of the source { $source } said nothing for { $silence } { $where }, all at once: what sends them paused, not their sensors.
data-source-silent-often = It paused { $times } times, { $total } in all.
data-source-not-judged = What it would have shown meanwhile was not judged.
data-source-silent-settled-by = Check its adapter, cable and supply, and whether the computer was suspended or overloaded.
data-source-never-came = The source { $source } said nothing in the whole pull, though it did in an earlier pull of this stage.
data-stuck = { $channel } stood perfectly still at { $value } for { $share } of the sweep, { $where }.
data-clipped = { $channel } sat at exactly { $value } for { $share } of the sweep: clipped, { $where }.
data-pressure-above = { $boost } reads { $difference } above { $manifold } minus barometric pressure (the median of the pull): one of the three is off.
data-pressure-below = { $boost } reads { $difference } below { $manifold } minus barometric pressure (the median of the pull): one of the three is off.
data-atmosphere-apart = { $boost } and { $target } are { $difference } apart all the way, which is the air's own pressure: { $absolute } is absolute, and the map takes it for gauge pressure.
data-too-slow = Too few samples to judge by: { $rates } per 1,000 rpm where { $limit } are needed; log faster or sweep slower.
data-rate = { $channel } ({ $rate-number })
data-too-few = Too few readings to judge by: { $channels } in the whole sweep where { $limit } are needed (a value that is only written again is no reading); log faster or sweep slower.
data-read = { $channel } ({ $readings })
data-too-little = That is too little to call the engine healthy by.
data-clock-late = Speed as { $source } sends it comes { $offset } late against engine speed: the two sources' clocks are apart, so torque stands at the wrong engine speed.
data-clock-early = Speed as { $source } sends it comes { $offset } early against engine speed: the two sources' clocks are apart, so torque stands at the wrong engine speed.
data-good = { $channels ->
    [one] { $channels } channel
   *[other] { $channels } channels
    } without gaps, none stuck or clipped; the slowest, { $slowest }, came { $times ->
    [one] { $times } time
   *[other] { $times } times
    } in { $lasted }.
data-never-came = In the map, but silent in the whole pull: { $channels }.
data-never-came-though-earlier = In the map, but silent in the whole pull, though there in an earlier pull of this stage: { $channels }.
data-never-came-though-others = In the map, but silent in the whole pull, though { $others } came: { $channels }.
data-more = { $more } more

## Clocks

clocks-moved-late = { $source } came { $offset } late against engine speed (+-{ $uncertainty } at 95 %); its channels were moved by that.
clocks-moved-early = { $source } came { $offset } early against engine speed (+-{ $uncertainty } at 95 %); its channels were moved by that.
clocks-drifted = { $source } has drifted by { $drift } since the session's first pull.
## Titles of the checks

check-throttle = Throttle
check-ignition = Ignition and knock
check-boost = Boost
check-blower = Blower
check-intake = Intake
check-turbo = Turbo
check-air-and-torque = Air and torque
check-air-temperatures = Air temperatures
check-fuel-supply = Fuel supply
check-mixture = Mixture
check-engine-temperatures = Engine temperatures and pressures
check-speed-limiter = Speed limiter
check-drive = Drive
check-data-quality = Data
check-engine-kind = Kind of engine
check-coverage = What was judged

## Throttle

speed-limiter-early = The speed limiter cut in at { $speed }; the station file states { $top }.
throttle-closed = The throttle closed to { $least } of fully open { $where } for { $duration } while the pedal was down.
throttle-closed-no-pedal = The throttle closed to { $least } of fully open { $where } for { $duration }; no pedal is logged to tell whether the driver held it down.
throttle-opened-late = At { $start } it stood at { $share } of that: the controller opens it as speed rises.
throttle-diesel-flap-moved = Not judged: the flap of a diesel moved in the pull, to { $least } at the least; it sets no torque.
throttle-not-asked = Not judged: the pedal was not down in the pull.
throttle-just-before = Just before, { $seen }.
throttle-no-reason = Nothing logged says what for.
throttle-often = It did so { $times } times; this is the deepest.
throttle-before-over-boost = boost was { $over } over its target
throttle-before-short-rail = rail pressure was { $short } below its target
throttle-before-short-low-side = low-side fuel pressure was { $short } below its target
throttle-before-knock = knock had taken { $retard }
throttle-before-torque-cut = the torque request had fallen from { $first-number } to { $last }
throttle-diesel-flap = Not judged: the flap of a diesel reads { $opened }.
throttle-never-open = The throttle never opened past { $opened } under full pedal; a throttle that is let open reads at least { $limit }.
throttle-stayed-open = The throttle stayed open from { $start-number } to { $end }.
throttle-stayed-open-raw = The throttle stayed open (reads { $opened } when fully open) from { $start-number } to { $end }.

## Ignition and knock

ignition-one-cylinder = Cylinder { $cylinder } had up to { $retard } taken away { $where }; the others at most { $others }.
ignition-one-cylinder-alone = Cylinder { $cylinder } had up to { $retard } taken away { $where }; the others none.
ignition-all-cylinders = All cylinders alike lost up to { $retard } to knock control { $where }.
ignition-whole-engine = The engine lost up to { $retard } to knock control { $where }.
ignition-one-cylinder-chance = It had { $events ->
    [one] { $events-number } knock event
   *[other] { $events-number } knock events
    } and lost { $mean } on average, the others { $others-events } events and { $others-mean } each: chance alone makes a cylinder stand out so far in at most { $chance } of pulls.
ignition-rate = Over the sweep that is { $rate } knock events a second and cylinder, { $mean } on average; a cylinder was retarded for { $share } of the time.
ignition-rate-decay = Over the sweep that is { $rate } knock events a second and cylinder, { $mean } on average; a cylinder was retarded for { $share } of the time, and got it back with a time constant of { $decay }.
ignition-deep = Knock control took { $retard } from cylinder { $cylinder } { $where }. That it was this cylinder may be chance: a second pull tells.
ignition-deep-engine = Knock control took { $retard } from the engine { $where }.
ignition-lasting = Knock control took { $lasting } from cylinder { $cylinder } on average over { $duration } { $where }, at most { $retard }. That it was this cylinder may be chance: a second pull tells.
ignition-lasting-engine = Knock control took { $lasting } from the engine on average over { $duration } { $where }, at most { $retard }.
ignition-heat-unknown = No air temperature is logged, so none of it could be put down to heat.
ignition-heat-explains = { $air } hotter than { $usual } explains { $explained } of it.
ignition-fixed = Every cylinder carries the same { $retard } of retard from end to end.
ignition-fixed-why = Knock comes in steps; a figure that never moves is knock control without its sensor.
ignition-below-target = Ignition was { $short } below its target { $where }, beyond what knock control took.
ignition-below-target-knock-unknown = Ignition was { $short } below its target { $where }: knock control, torque intervention or another correction. Log knock retard to tell.
ignition-misfires = { $misfires ->
    [one] { $misfires-number } misfire was counted { $where }.
   *[other] { $misfires-number } misfires were counted { $where }.
    }
ignition-nothing-taken = Knock control took no timing from any cylinder from { $start-number } to { $end }.
ignition-given-back = Knock control worked at its limit: it took at most { $retard }, at { $speed }, and gave it back.
ignition-given-back-cylinder = Knock control worked at its limit: it took at most { $retard } (cylinder { $cylinder }), at { $speed }, and gave it back; no cylinder stands out.
ignition-compression = A compression-ignition engine has no knock control.
ignition-knock-not-judged = Knock not judged: needs knock_retard.

## Charge air

charge-air = charge air
charge-air-first-word = Charge air
intake-air = intake air
intake-air-first-word = Intake air
usual-heat-start = at the start of this pull
usual-heat-ambient = { $rise } over ambient
usual-heat-earlier = in the coolest pull before

## Boost

boost-below-target = Boost stayed up to { $short } below its target { $where } ({ $boost } where { $target } were asked for).
boost-over-target = Boost went up to { $over } (gauge) over its target { $where }: { $boost } where { $target } were asked for.
boost-turbo-limit = This turbo's limit is { $limit }.
boost-swings = Boost swung by { $swing } from peak to peak around its target, { $rate-number } times a second, { $where }.
boost-followed = Boost followed its target within { $error }: { $top } at { $top-speed }, { $last } at { $last-speed }.
boost-lag = It came { $lag } behind, which is the lag of its control.
boost-spools-later = Boost reached its target only at { $speed }, { $later } later than in { $pulls ->
    [one] the earlier pull
   *[other] the { $pulls } earlier pulls
    } of this stage driven alike.
boost-spool-not-judged = Boost reached its target at { $speed }. Whether that is late for this turbo no earlier pull says that was driven alike.
boost-derived = Boost is manifold pressure less the { $barometric } given for the station's air.
boost-no-barometer = Not judged: needs barometric_pressure to make boost of manifold_pressure.
boost-not-judged = Not judged: { $why }.
boost-not-asked-for = no boost was asked for in this pull
boost-too-few-samples = too few samples of boost
boost-no-time = the pull was over before boost had its time to reach the target

## Blower

blower-too-little = Not judged: too little boost or too few samples of it.
blower-follows = Boost followed engine speed: { $top } at { $top-speed }, { $last } at { $last-speed }.
blower-falls = Boost fell from { $top } at { $top-speed } to { $last } at { $last-speed }, though the blower turns with the engine.
blower-less = Boost was { $less } below that of { $pulls ->
    [one] the earlier pull
   *[other] the { $pulls } earlier pulls
    } of this stage between { $start-number } and { $end }, though the blower turns with the engine.

## Intake

intake-needs = Not judged: needs barometric_pressure, and an open throttle from low to high speed.
intake-free = The manifold stayed within { $drop } of the air's pressure between { $start-number } and { $end }.
intake-offset = The manifold reads { $drop } below the air's pressure at every speed alike: an offset between the two sensors, not a restriction.
intake-drop = The manifold was { $drop } below the air's pressure at full throttle between { $start-number } and { $end }; at most { $limit } are usual.
intake-drops-more = The manifold was { $drop } below the air's pressure at full throttle between { $start-number } and { $end }; from low speed to there it fell { $more } further than in { $pulls ->
    [one] the earlier pull
   *[other] the { $pulls } earlier pulls
    } of this stage.

## Turbo speed

turbo-speed-stated = the limit in the station file
turbo-speed-of-wheel = { $tip } at the tip of a wheel of { $wheel }
turbo-speed-well = The turbo turned at most { $top }, { $below } below { $limit } ({ $source }).
turbo-speed-over = The turbo turned up to { $top } { $where }, { $over } beyond { $limit } ({ $source }).

## Turbo

turbo-efficiency = The compressor's pressure ratio went up to { $top }; over the last third under boost it gave { $ratio } and { $outlet }, an efficiency of about { $efficiency }.
turbo-efficiency-low = The compressor's outlet was at { $outlet } for a measured pressure ratio of { $ratio }: an efficiency of { $efficiency }, below { $limit }.
turbo-efficiency-low-why = It makes more ratio than the pressures show.
turbo-air-flow-high = The measured air flow would fill the cylinders to { $filling }; a healthy engine takes at most about { $limit } of what they hold at this pressure.
turbo-air-flow-high-why = Air is lost behind the meter or blown through while both valves are open, or the meter reads too high.
turbo-air-flow-grew = At the same manifold pressure { $more } more air was measured between { $start-number } and { $end } than in { $pulls ->
    [one] the earlier pull
   *[other] the { $pulls } earlier pulls
    } of this stage.
turbo-air-flow-grew-why = An engine does not take more from one pull to the next: air is lost behind the meter, or the meter has changed.
turbo-air-flow-low = The measured air flow fills the cylinders to only { $filling } at this manifold pressure; a healthy engine takes at least { $limit }.
turbo-air-flow-matches = Pressure ratio up to { $top }; air flow matches what the cylinders take from { $speed }.
turbo-too-little-boost = Not judged: too little boost or too few samples of it, or no barometric pressure known.
turbo-needs = Not judged: needs compressor_outlet_temperature, or air_mass_flow with the engine's displacement.
turbo-torque-short = Torque was { $short } below its request { $where }, with boost, throttle and mixture as wanted and heat, knock and misfires allowed for.
turbo-torque-short-why = The request may be more than this engine gives; if it was met before, something holds the engine back.
turbo-torque-shorter = Torque was { $short } below its request { $where }, with boost, throttle and mixture as wanted and heat, knock and misfires allowed for: { $more } more than in { $pulls ->
    [one] the earlier pull
   *[other] the { $pulls } earlier pulls
    } of this stage.

## Compressor map

compressor-map-unused = The compressor map is not used: it needs air_mass_flow, manifold and barometric pressure and the temperature at the inlet, under boost.
compressor-map-efficiency = By the map the compressor is { $least } to { $best } efficient along this line, most at { $speed }.
compressor-map-caution = Filter and charge cooler hide some pressure ratio: the compressor works a little higher.
compressor-map-settled-by = Measure pressure before and after the compressor, and its speed.
compressor-surge-unknown = Surge is not judged: the surge line does not reach these ratios.
compressor-surge-far = On the compressor map flow stays { $margin } above surge, nearest at { $speed }.
compressor-surge-near = The compressor ran only { $margin } above surge flow of its map { $where }.
compressor-surge-beyond = The compressor ran left of the surge line of its map { $where }.
compressor-speed-unknown = Turbo speed is not judged: the pull lies outside the speed lines.
compressor-speed-well-measured = Turbo speed, measured, stays { $margin } below the map's fastest line, nearest at { $speed }.
compressor-speed-well-read-off = Turbo speed, read off the map, stays { $margin } below the map's fastest line, nearest at { $speed }.
compressor-speed-near = The turbo turned { $margin } below the fastest line of its map { $where }.
compressor-speed-beyond = The turbo turned { $margin } beyond the fastest line of its map { $where }.
compressor-speed-beyond-map = The turbo ran beyond the fastest line of its map by flow and pressure ratio { $where }.

## Air and torque

air-and-torque-by-controller = the controller's torque
air-and-torque-by-dyno = the dyno
air-and-torque-air-measured = measured air flow
air-and-torque-air-taken = air the cylinders take at this pressure
air-and-torque-high = The power by { $power } is at least { $share } of what the { $air } can make { $where }.
air-and-torque-high-why = One of the two scales is wrong: nothing makes more of its air.
air-and-torque-low = The power by { $power } is at most { $share } of what the { $air } makes in a healthy engine { $where }, retard and misfires allowed for.
air-and-torque-low-why = Air lost behind the meter, late ignition, a closing throttle or slip would explain it; without them one of the two scales is wrong.
air-and-torque-fits = The power by { $power } is about { $share } of what the { $air } makes: they fit.
air-and-torque-fits-between = The power by { $power } is { $least-number } to { $most } of what the { $air } makes (the range is what losses, filling, knock and misfires leave open): they fit.
air-and-torque-settled-by = Compare the air meter with speed density at one steady point, and check the roller's inertia and the map's scale of the torque channel.
air-and-torque-too-short = Not judged: the sweep is too short.
air-and-torque-needs-air = Not judged: needs air_mass_flow, or manifold and charge temperature with the displacement.
air-and-torque-needs-lambda = Not judged: needs lambda: a diesel's air alone does not say how much fuel it burns.
air-and-torque-no-flow = Not judged: the air meter shows no flow.
air-and-torque-needs-power = Not judged: needs engine_torque, or a dyno whose inertia and radius are known.

## Air temperatures

air-temperatures-hot = The { $air } reached { $top } (the limit is { $limit }).
air-temperatures-hot-over-ambient = The { $air } reached { $top } ({ $over } over ambient; the limit is { $limit }).
air-temperatures-cooler = The charge cooler took the air from { $outlet-number } to { $charge } where it was hottest (effectiveness { $effectiveness }).
air-temperatures-cooler-weak = The charge cooler took the air from { $outlet-number } to { $charge }, an effectiveness of { $effectiveness } with ambient at { $ambient }; below { $limit } look at the fan before the cooler.
air-temperatures-intake-warm = The air before the compressor was { $over } over ambient; the engine breathes warm air from the engine bay.
air-temperatures-heat-soak = The { $air } started this pull at { $start }, { $hotter } hotter than the coolest start of this stage ({ $coolest }): heat soak; let it cool.
air-temperatures-went = { $air } went from { $start-number } to { $end } in the pull.
air-temperatures-went-over-ambient = { $air } went from { $start-number } to { $end } in the pull, at most { $over } over ambient.
air-temperatures-warm = Warm: { $air } went from { $start-number } to { $end } in the pull.
air-temperatures-warm-why = No fault, but compare it only with pulls of about the same temperature.
air-temperatures-not-logged = Not judged: no air temperature was logged.

## Ready for a pull?

readiness-coolant = Coolant
readiness-oil = Oil
readiness-battery = Battery
readiness-intake-drift = Intake air drift
readiness-charge-air = Charge air over ambient
readiness-free-storage = Free storage
readiness-channels = Channels
readiness-pulls = Pulls
readiness-roller = Roller and engine speed
service-recording = Recording
service-store = Store
service-broker = Broker
service-lamp = Lamp
readiness-item = { $item }: { $found }
readiness-item-value = { $item }: { $value }
readiness-item-beyond = { $item }: { $value }, { $found } (limit { $limit })
readiness-stops = Stops
readiness-unseen = nobody has seen: { $alerts }
readiness-stopped-pull = pull { $pull } is a stop, look at its findings first
readiness-no-stop = none is open
readiness-no-channel = no channel
readiness-not-known = not known
readiness-too-low = too low
readiness-too-high = too high
readiness-good = good
readiness-fine = fine
readiness-listening = listening
readiness-not-heard = not heard: { $channels }
readiness-slow = slow: { $channels }
readiness-slow-channel = { $channel } at { $heard-number } of { $wanted }
readiness-more = { $left } more
readiness-list = { $parts }
readiness-all-at-their-rates = all { $channels } at their rates
readiness-can-be-found = can be found
readiness-not-moving = not moving in gear
readiness-ratio-scatters = their ratio scatters: slip, or clocks
readiness-go-together = go together
readiness-nobody-looked = Nobody looked whether the car was ready: the pull was not recorded live.
readiness-ready = Ready, as far as pullwatch saw: { $items }.
readiness-not-ready = Not ready: { $items }.
readiness-otherwise-good = Good: { $items }.
readiness-unknown = Not known: { $items }.
readiness-list-looked-at = Operator's list: { $points } looked at.
readiness-list-missed = Not ticked: { $points }.
readiness-car-ready = Car ready before the pull
readiness-list-before-first = Operator's list before the first pull
readiness-list-whole = Operator's list whole before the pull
readiness-all-pulls = all { $every } pulls
readiness-some-pulls = { $some } of { $every } pulls
readiness-all-points = all { $every } points
readiness-some-points = { $some } of { $every } points

## How a pull ended

end-reason-lift = lift
end-reason-limiter = limiter
end-reason-gear-change = gear change
end-reason-stalled = stalled
end-reason-session-end = session end
end-reason-source-lost = source lost
