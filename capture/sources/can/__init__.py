"""CAN buses that are listened to."""
