"""Stores and recordings that earlier programs made, and how they were made."""
