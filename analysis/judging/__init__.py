"""One pull wholly analysed: its findings, its verdict, its torque curve."""
