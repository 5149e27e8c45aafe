"""Raw records on disk: written crash-safe, read back, exported."""
