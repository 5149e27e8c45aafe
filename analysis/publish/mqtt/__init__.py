"""MQTT: messages, an outbox that survives a broker that is down, a broker for first use."""
