"""What a running session shows now: the live view, the lamp."""
