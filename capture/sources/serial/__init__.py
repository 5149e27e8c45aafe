"""Devices that send text lines or binary frames."""
