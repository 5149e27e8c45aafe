"""Records in, pulls and alerts out: live and replay run exactly this."""
