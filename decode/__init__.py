"""Ground floor: raw records into channels. Knows no adapter and no analysis."""
