"""Sources that come back, and what is counted of them."""
