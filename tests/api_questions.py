"""Questions to the API, drawn from its own description: does every operation keep its word?"""

from typing import Any, Final

from fastapi import FastAPI
from hypothesis import HealthCheck, given, settings
from hypothesis.errors import Unsatisfiable

HOST: Final = {"host": "127.0.0.1:8710"}


def ask_all(app: FastAPI, mode: str, examples: int) -> int:
    """Ask every operation; mode: rightly ("positive") or wrongly ("negative"). Returns how many
    could be asked; raises what schemathesis found."""
    # Here and not at the top: each worker collects all tests, and schemathesis takes seconds.
    import schemathesis
    from schemathesis.core.result import Ok
    from schemathesis.generation import GenerationMode

    schema = schemathesis.openapi.from_asgi("/api/v1/openapi.json", app, headers=HOST)
    found = list(schema.get_all_operations())
    operations = [each.ok() for each in found if isinstance(each, Ok)]
    assert len(operations) == len(found)
    return sum(_ask(operation, GenerationMode(mode), examples) for operation in operations)


def _ask(operation: Any, mode: Any, examples: int) -> bool:
    """Everything schemathesis checks: no server error, no undocumented answer, no word ignored.

    False where nothing can be asked: an operation without parameters cannot be asked wrongly.
    """

    @given(case=operation.as_strategy(generation_mode=mode))
    @settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,  # so that a failure stays
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    def answers(case: Any) -> None:
        case.call_and_validate(headers=HOST)

    try:
        answers()
    except Unsatisfiable:
        return False
    return True
