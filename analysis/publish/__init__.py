"""Who is told: MQTT, the page, the report, tables."""
