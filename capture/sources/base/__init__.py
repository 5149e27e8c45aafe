"""What every source is: its protocol, its clock, its settings."""
