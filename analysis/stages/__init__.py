"""Stages against each other, with honest intervals."""
