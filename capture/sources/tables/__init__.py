"""Tables recorded elsewhere: CSV, Parquet, MDF4."""
