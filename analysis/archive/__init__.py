"""What is kept: jobs, stages, pulls, recordings, signatures."""
