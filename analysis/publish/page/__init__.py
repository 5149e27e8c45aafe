"""The page: what the operator, the calibrator and the API see, on loopback."""
