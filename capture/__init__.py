"""What touches the world, and the bay that wires the pipeline."""
