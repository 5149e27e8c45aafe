"""One file a command of `pullwatch`."""
