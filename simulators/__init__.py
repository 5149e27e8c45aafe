"""A car, its ECU, a chassis dyno and their adapters, with faults and the truth about them."""
