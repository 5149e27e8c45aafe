"""The station file."""
