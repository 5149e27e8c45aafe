"""The segmenter's small pieces: what the driver asks, what the engine does, where a sweep lies."""
