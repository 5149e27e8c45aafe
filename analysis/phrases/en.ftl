# What pullwatch says, in English: one phrase a key. { $name } is an amount with its unit, a name or
# a part of the statement; { $name-number } is the amount without its unit. A test holds every key
# and every variable against the code, and the other languages against this file.

as-written = { $text }
joint-and = { $rest } and { $last }

## Where in a pull

where-between = between { $low-number } and { $high }
where-at = at { $speed }
where-time = from { $start-number } to { $end }
