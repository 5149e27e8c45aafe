"""One station at work: what is opened, wired and closed again, in one task group."""
