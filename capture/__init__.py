"""What touches the world, and the daemon that wires the pipeline."""
