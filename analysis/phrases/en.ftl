# What pullwatch says, in English: one phrase a key. { $name } is an amount with its unit, a name or
# a part of the statement; { $name-number } is the amount without its unit. A test holds every key
# and every variable against the code, and the other languages against this file.

as-written = { $text }
joint-and = { $rest } and { $last }

## Where in a pull

where-between = between { $low-number } and { $high }
where-at = at { $speed }
where-time = from { $start-number } to { $end }

## Titles of the checks

check-throttle = Throttle
check-ignition = Ignition and knock
check-boost = Boost
check-turbo = Turbo
check-air-and-torque = Air and torque
check-air-temperatures = Air temperatures
check-fuel-supply = Fuel supply
check-mixture = Mixture
check-engine-temperatures = Engine temperatures and pressures
check-drive = Drive
check-data-quality = Data
check-evidence = What was judged

## Throttle

throttle-closed = The throttle closed to { $least } of fully open { $where } for { $duration } while the pedal was down.
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
ignition-heat-unknown = No air temperature is logged, so none of it could be put down to heat.
ignition-heat-explains = { $air } hotter than { $usual } explains { $explained } of it.
ignition-fixed = Every cylinder carries the same { $retard } of retard from end to end.
ignition-fixed-why = Knock comes in steps; a figure that never moves is knock control without its sensor.
ignition-below-target = Ignition was { $short } below its target { $where }, beyond what knock control took: torque intervention or another correction.
ignition-misfires = { $misfires ->
    [one] { $misfires-number } misfire was counted { $where }.
   *[other] { $misfires-number } misfires were counted { $where }.
    }
ignition-nothing-taken = No timing was taken away from any cylinder from { $start-number } to { $end }.
ignition-given-back = Knock control took at most { $retard }, at { $speed }, and gave it back; no cylinder stands out.
ignition-given-back-cylinder = Knock control took at most { $retard } (cylinder { $cylinder }), at { $speed }, and gave it back; no cylinder stands out.
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
boost-derived = Boost is manifold pressure less the { $barometric } given for the station's air.
boost-no-barometer = Not judged: needs barometric_pressure to make boost of manifold_pressure.
boost-not-judged = Not judged: { $why }.
boost-not-asked-for = no boost was asked for in this pull
boost-too-few-samples = too few samples of boost
boost-no-time = the pull was over before boost had its time to reach the target

## Turbo

turbo-efficiency = The compressor's pressure ratio went up to { $top }; over the last third under boost it gave { $ratio } and { $outlet }, an efficiency of about { $efficiency }.
turbo-efficiency-low = The compressor's outlet was at { $outlet } for a measured pressure ratio of { $ratio }: an efficiency of { $efficiency }, below { $limit }.
turbo-efficiency-low-why = It makes more ratio than the pressures show.
turbo-air-flow-high = The measured air flow would fill the cylinders to { $filling }; a healthy engine takes at most about { $limit } of what they hold at this pressure.
turbo-air-flow-high-why = Air is lost behind the meter or blown through while both valves are open, or the meter reads too high.
turbo-air-flow-low = The measured air flow fills the cylinders to only { $filling } at this manifold pressure; a healthy engine takes at least { $limit }.
turbo-air-flow-matches = Pressure ratio up to { $top }; air flow matches what the cylinders take from { $speed }.
turbo-too-little-boost = Not judged: too little boost or too few samples of it, or no barometric pressure known.
turbo-needs = Not judged: needs compressor_outlet_temperature, or air_mass_flow with the engine's displacement.
turbo-torque-short = Torque was { $short } below its request { $where }, though boost, throttle and mixture were as wanted and heat, knock and misfires are allowed for: something holds it back.

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
