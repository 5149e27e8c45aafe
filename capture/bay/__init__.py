"""The daemon and what it wires: queue, pull desk, page server, health."""
