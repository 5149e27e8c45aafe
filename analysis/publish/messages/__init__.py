"""Everything that is said to other programs: typed, versioned, each with its JSON Schema.

MQTT, `--json` and the page's API carry these models; they are built on the analysis' own types, so
that a schema cannot drift from what is sent. `python -m analysis.publish.messages.schemas` writes
the schemas that are committed beside this file; the page serves them under /api/v1/schemas.
"""
