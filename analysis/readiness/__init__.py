"""What should be so before a pull starts."""
