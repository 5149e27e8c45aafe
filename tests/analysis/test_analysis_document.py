"""The `--json` document and its committed schema."""

from analysis.judging.document import generated_schema, published_schema


def test_the_committed_schema_is_the_generated_one() -> None:
    assert published_schema() == generated_schema()
