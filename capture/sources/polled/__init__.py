"""ECUs that are asked, over CAN and over K-line."""
