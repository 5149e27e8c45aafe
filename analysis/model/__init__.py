"""The types of this floor: pulls, findings, limits, events, and what is known of the car."""
