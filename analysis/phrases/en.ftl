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
