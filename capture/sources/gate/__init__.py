"""The one gate that every transmitted byte passes: reads only."""
