"""Torque and power of a pull: rollers, losses, atmospheric correction."""
