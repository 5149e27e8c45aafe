"""One browser for all tests of a worker that look at pages; each test has a context of its own."""

from collections.abc import AsyncIterator

import pytest_asyncio
from browsers import chromium
from playwright.async_api import Browser


@pytest_asyncio.fixture(scope="session", loop_scope="session")
async def browser() -> AsyncIterator[Browser]:
    """Chromium. Whoever uses it runs in the session's event loop, as its driver does."""
    async with chromium() as started:
        yield started
