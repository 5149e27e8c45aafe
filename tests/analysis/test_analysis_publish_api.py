"""The API answers whatever is asked as it describes itself: schemathesis asks."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import demo_job
import httpx
import pytest
from fastapi import FastAPI
from hypothesis import HealthCheck, given, settings
from hypothesis.errors import Unsatisfiable
from page_bay import PageBay

from analysis.archive.store import Store
from analysis.publish.page.app import create_app

HOST = {"host": "127.0.0.1:8710"}
EXAMPLES = 8  # for each operation and mode; derandomised, so that a failure stays


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    """A small job, so that most of the time is spent on questions."""
    with Store(Path(tmp_path_factory.mktemp("store"))) as store:
        stage = store.open_stage(store.open_job("A job").id, "baseline")
        store.save_pull(stage.id, "session-1", demo_job.report(1, 0), demo_job.SETUP)
        yield create_app(PageBay(store))


@pytest.mark.slow
@pytest.mark.parametrize("mode", ["positive", "negative"])
def test_every_operation_keeps_its_word(app: FastAPI, mode: str) -> None:
    # Here and not at the top: each worker collects all tests, and schemathesis takes seconds.
    import schemathesis
    from schemathesis.core.result import Ok
    from schemathesis.generation import GenerationMode

    schema = schemathesis.openapi.from_asgi("/api/v1/openapi.json", app, headers=HOST)
    found = list(schema.get_all_operations())
    operations = [each.ok() for each in found if isinstance(each, Ok)]
    assert len(operations) == len(found)
    assert sum(ask(operation, GenerationMode(mode)) for operation in operations) > 20


def ask(operation: Any, mode: Any) -> bool:
    """Everything schemathesis checks: no server error, no undocumented answer, no word ignored.

    False where nothing can be asked: an operation without parameters cannot be asked wrongly.
    """

    @given(case=operation.as_strategy(generation_mode=mode))
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=True,
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


async def test_a_wrong_method_is_told_which_are_right(app: FastAPI) -> None:
    paths = app.openapi()["paths"]
    transport = httpx.ASGITransport(app=app)
    async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST['host']}") as client:
        for path, operations in paths.items():
            answer = await client.request("PATCH", re.sub(r"{\w+}", "1", path))
            assert answer.status_code == 405
            allowed = {method.strip().lower() for method in answer.headers["allow"].split(",")}
            assert allowed == set(operations), path
