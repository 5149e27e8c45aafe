"""The API answers whatever is asked as it describes itself: schemathesis asks."""

import re
from collections.abc import Iterator

import demo_job
import httpx
import pytest
from api_questions import HOST, ask_all
from fastapi import FastAPI
from page_bay import PageBay

from analysis.publish.page.app import create_app

EXAMPLES = 4  # for each operation and mode; tests/benchmarks/api.py asks more


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    """A small job, so that most of the time is spent on questions."""
    with demo_job.small(tmp_path_factory.mktemp("store")) as store:
        yield create_app(PageBay(store))


@pytest.mark.slow
@pytest.mark.parametrize("mode", ["positive", "negative"])
def test_every_operation_keeps_its_word(app: FastAPI, mode: str) -> None:
    assert ask_all(app, mode, EXAMPLES) > 20


async def test_a_wrong_method_is_told_which_are_right(app: FastAPI) -> None:
    paths = app.openapi()["paths"]
    transport = httpx.ASGITransport(app=app)
    async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST['host']}") as client:
        for path, operations in paths.items():
            answer = await client.request("PATCH", re.sub(r"{\w+}", "1", path))
            assert answer.status_code == 405
            allowed = {method.strip().lower() for method in answer.headers["allow"].split(",")}
            assert allowed == set(operations), path
