"""The demo job: an invented car on an invented dyno, played over real transports."""
