# What pullwatch says, in English: one phrase a key. { $name } is an amount with its unit, a name or
# a part of the statement; { $name-number } is the amount without its unit. A test holds every key
# and every variable against the code, and the other languages against this file.

as-written = { $text }
joint-and = { $rest } and { $last }

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
cause-boost-leak = a boost leak
cause-boost-leak-settled-by = Pressure-test the tract from the compressor to the cylinder head.
cause-wastegate-stuck-open = a wastegate stuck open
cause-wastegate-stuck-open-settled-by = Move the wastegate by hand or vacuum pump; check its preload. Fuel, clutch and knock were hardly loaded without boost: judge them by the pull after.
cause-wastegate-stuck-closed = a wastegate stuck closed
cause-wastegate-stuck-closed-settled-by = Move the wastegate by hand or pressure; check its hose and valve before the next pull.
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
cause-protective-throttle-closure = the controller protecting the engine
cause-protective-throttle-closure-settled-by = Log the controller's torque limits beside the throttle, or read its fault memory.
cause-misfire = misfire
cause-misfire-settled-by = Log misfire counts by cylinder; look at that cylinder's plug and coil.
cause-tyre-slip = tyre slip on the roller
cause-tyre-slip-settled-by = Strap the car down harder, or repeat in a higher gear.
cause-clutch-slip = clutch slip
cause-clutch-slip-settled-by = Repeat in a lower gear: with less torque on it a slipping clutch holds.
cause-overheating = an overheating engine
cause-overheating-settled-by = Let it cool, check the fan and coolant level, and repeat.
cause-sensor-fault = a sensor or its wiring
cause-sensor-fault-settled-by = Check the sensor's wiring and compare it with a second instrument.
cause-clock-offset = clocks that are apart
cause-clock-offset-settled-by = Log both sources through one adapter, or name the dyno's own time in the map (clock).

## Symptoms as evidence for or against a cause

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
symptom-boost-low-seen = boost stayed below its target
symptom-boost-low-not-seen = boost reached its target
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

## Every check: what it needs

not-judged-needs = Not judged: needs { $quantities }.
not-judged-distrusted = Not judged: needs { $quantities } ({ $channels } cannot be trusted here).
not-judged-not-boosted = Not judged: nothing says that the engine is boosted.
either-or = { $one } or { $other }

## What was judged

evidence-lacking = No fault seen, but not called healthy: { $reasons }.
evidence-well = What was judged is well: { $checks }.
evidence-broken-off-lift = the pull is incomplete (the driver let go at { $speed })
evidence-broken-off-limiter = the pull is incomplete (the speed limiter cut in at { $speed })
evidence-broken-off-gear-change = the pull is incomplete (the gear was changed at { $speed })
evidence-broken-off-stalled = the pull is incomplete (engine speed no longer rose at { $speed })
evidence-broken-off-session-end = the pull is incomplete (the session ended at { $speed })
evidence-broken-off-source-lost = the pull is incomplete (a source was lost at { $speed })
evidence-no-channels = no check had the channels it needs
evidence-no-demand = nothing shows what the driver asked for (log pedal or throttle position)
evidence-no-knock = knock was not judged (log knock retard)
evidence-no-retard = { $count ->
    [one] knock retard of cylinder { $cylinders } was not logged
   *[other] knock retard of cylinders { $cylinders } was not logged
    }
evidence-no-boost = boost was not judged ({ $why })
evidence-log-boost-target = log its target
evidence-log-boost = log boost, or manifold and barometric pressure
evidence-well-throttle = throttle
evidence-well-ignition = ignition
evidence-well-boost = boost
evidence-well-turbo = turbo
evidence-well-air-and-torque = air and torque
evidence-well-air-temperatures = air temperatures
evidence-well-fuel-supply = fuel supply
evidence-well-mixture = mixture
evidence-well-engine-temperatures = engine temperatures
evidence-well-drive = drive

## Fuel supply

fuel-side-low = Low-side fuel pressure
fuel-side-rail = Rail pressure
fuel-held = { $side } held within { $short }.
fuel-drooped = { $side } drooped by up to { $short } { $where }: { $pressure } where { $wanted } were wanted.
fuel-drooped-from-before = { $side } drooped by up to { $short } { $where }: { $pressure } where { $before } stood before the sweep (no target is logged).
fuel-other-unit = { $side } read { $pressure } where { $wanted } were wanted from end to end; no engine runs on that: one of the two channels has another unit than the map says.
fuel-injectors-spare = The injectors were open at most { $duty } of the time.
fuel-injectors-full = The injectors were open up to { $duty } of the time { $where }; past { $limit } there is no fuel left to add.
fuel-supply-voltage = The supply was at { $voltage } in the pull; below { $limit } the fuel pump and the coils are weaker than they were calibrated for.

## Mixture

mixture-lean = The mixture ran lean: lambda { $measured } where { $wanted } was wanted, { $where }.
mixture-lean-boosted = The mixture ran lean under { $boost } of boost: lambda { $measured } where { $wanted } was wanted, { $where }.
mixture-lean-no-target = The mixture ran lean: lambda { $measured } { $where }; no target is logged, and a boosted petrol engine is not to run leaner than { $leanest } under load.
mixture-lean-no-target-boosted = The mixture ran lean under { $boost } of boost: lambda { $measured } { $where }; no target is logged, and a boosted petrol engine is not to run leaner than { $leanest } under load.
mixture-rich = The mixture ran rich: lambda { $measured } where { $wanted } was wanted, { $where }.
mixture-trims = The trims had to add { $added } of fuel in the pull; the calibration or the fuel supply is short by that much.
mixture-never-lean = Lambda was at most { $leanest }; no target is logged, and { $limit } is the leanest for a boosted petrol engine under load.
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
engine-temperatures-oil-pressure-low = Oil pressure fell to { $pressure } { $where }, { $share } per 1,000 rpm; at least { $limit-number } are wanted.
engine-temperatures-oil-pressure-well = Oil pressure at least { $pressure }.
engine-temperatures-cold = The pull began with the coolant at { $temperature }; an engine is worth judging from { $limit }.
engine-temperatures-none-came = Not judged: no temperature came in the pull.

## Drive

drive-wheels-lag = The wheels fell behind the engine by up to { $slip } { $where }: the torque shown there is wrong.
drive-roller-lags = The roller fell behind the wheels by up to { $slip } { $where }: the torque shown there is wrong.
drive-speeds-part = The roller fell behind the engine by up to { $slip } { $where }: the torque shown there is wrong.
drive-ratio-fell = No slip, but engine and wheels did not turn in proportion: their ratio fell by { $fell } in the pull and did not rise again. A converter that locks does that, or slip that the pull began with.
drive-held-wheels-lag = Engine and wheels turned in proportion from { $low-number } to { $high }, within { $slip }.
drive-held-roller-lags = Engine, wheels and roller turned in proportion from { $low-number } to { $high }, within { $slip }.
drive-held-speeds-part = Engine and roller turned in proportion from { $low-number } to { $high }, within { $slip }.
road-power = Without a dyno: power at the wheel up to { $power-number } ± { $power-sure } at { $power-speed }, torque from it up to { $torque-number } ± { $torque-sure } at { $torque-speed }.
road-power-origin = Estimated from { $mass } gaining speed on a level road, with rolling resistance and drag of a typical car (common practice, no published source), 95 % sure; no substitute for a dyno, and none at all on a roller.

## Data

data-impossible = { $channel } showed { $value }, which cannot be ({ $least-number } to { $most-number } can), in { $wrong } of { $samples } samples { $where }.
data-impossible-sign = { $channel } showed { $value }, which cannot be ({ $least-number } to { $most-number } can), in { $wrong } of { $samples } samples (retard counts positive: turn the sign in the map) { $where }.
data-no-lambda = { $channel } read about { $value }, which no engine runs with at full load: an air-fuel ratio that the map takes for lambda, or a sensor in air, { $where }.
data-silent = { $channel } was silent for { $silence } { $where }.
data-silent-often = { $channel } was silent for { $silence } ({ $times } times) { $where }.
data-stuck = { $channel } stood perfectly still at { $value } for { $share } of the sweep, { $where }.
data-clipped = { $channel } sat at exactly { $value } for { $share } of the sweep: clipped, { $where }.
data-pressure-above = { $boost } reads { $difference } above { $manifold } minus barometric pressure (the median of the pull): one of the three is off.
data-pressure-below = { $boost } reads { $difference } below { $manifold } minus barometric pressure (the median of the pull): one of the three is off.
data-atmosphere-apart = { $boost } and { $target } are { $difference } apart all the way, which is the air's own pressure: { $absolute } is absolute, and the map takes it for gauge pressure.
data-too-slow = Too few samples to judge by: { $rates } per 1,000 rpm where { $limit } are needed; log faster or sweep slower.
data-rate = { $channel } ({ $rate-number })
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
