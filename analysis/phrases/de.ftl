# Was pullwatch sagt, auf Deutsch; en.ftl nennt die Regeln.

as-written = { $text }
joint-and = { $rest } und { $last }

## Where in a pull

where-between = zwischen { $low-number } und { $high }
where-at = bei { $speed }
where-time = von { $start-number } bis { $end }
