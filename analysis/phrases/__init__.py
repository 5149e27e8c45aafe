"""Statements as data, and the phrase tables that turn them into sentences.

A statement is a key and its amounts. What people read is made from it in one place: in their
language, in their units.
"""
