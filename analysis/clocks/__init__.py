"""The clocks of the sources against each other, and bringing them together."""
