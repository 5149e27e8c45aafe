"""Pulls and what they say. Never imports capture."""
