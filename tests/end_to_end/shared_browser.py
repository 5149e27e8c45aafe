"""One browser for all tests of a worker that look at pages; each test has a context of its own."""

from collections.abc import AsyncIterator
from typing import TYPE_CHECKING

import pytest_asyncio

if TYPE_CHECKING:
    from playwright.async_api import Browser


@pytest_asyncio.fixture(scope="session", loop_scope="session")
async def browser() -> AsyncIterator["Browser"]:
    """Chromium. Whoever uses it runs in the session's event loop, as its driver does."""
    from browsers import chromium  # only a worker that looks at pages loads the driver

    async with chromium() as started:
        yield started
