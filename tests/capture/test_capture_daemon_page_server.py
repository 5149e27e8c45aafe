import asyncio
import signal
import socket

import httpx
import pytest
from fastapi import FastAPI
from patience import PATIENCE_S

from capture.bay.page_server import PageServer, names_of
from decode.errors import SourceError


def app(asked: asyncio.Event | None = None) -> FastAPI:
    """asked: set when somebody asks for what is never answered."""
    asked = asked or asyncio.Event()
    made = FastAPI()

    @made.get("/")
    async def root() -> str:
        return "here"

    @made.get("/never")
    async def never() -> str:
        asked.set()
        await asyncio.Event().wait()
        return "never"

    return made


async def answers(url: str) -> bool:
    async with asyncio.timeout(PATIENCE_S), httpx.AsyncClient() as client:
        while True:
            try:
                return bool((await client.get(url)).json() == "here")
            except httpx.ConnectError:  # it does not listen yet
                await asyncio.sleep(0.01)


def has_ipv6() -> bool:
    try:
        socket.create_server(("::1", 0), family=socket.AF_INET6).close()
    except OSError:
        return False
    return True


# a machine without IPv6 is no fault
@pytest.mark.parametrize("host", ["127.0.0.1", *(["::1"] if has_ipv6() else [])])
async def test_it_serves_on_a_free_port_until_closed(host: str) -> None:
    server = PageServer(app(), host, 0)
    before = signal.getsignal(signal.SIGINT)
    running = asyncio.create_task(server.run())
    assert await answers(server.url)
    assert signal.getsignal(signal.SIGINT) is before, "the page took the daemon's signals"
    server.close()
    await running
    async with httpx.AsyncClient() as client:
        with pytest.raises(httpx.ConnectError):
            await client.get(server.url)


async def test_a_request_that_never_ends_does_not_hold_up_the_end() -> None:
    asked = asyncio.Event()
    server = PageServer(app(asked), "127.0.0.1", 0)
    running = asyncio.create_task(server.run())
    assert await answers(server.url)
    async with httpx.AsyncClient(timeout=None) as client:
        waiting = asyncio.create_task(client.get(f"{server.url}never"))
        await asked.wait()
        server.close()
        await running
        waiting.cancel()
        await asyncio.wait([waiting])


def test_an_address_that_is_taken_is_told_with_the_way_out() -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with pytest.raises(SourceError, match=f"127.0.0.1:{port}.*name a free port under `page:`"):
            PageServer(app(), "127.0.0.1", port)


async def test_cancelled_it_lets_go_of_its_port() -> None:
    server = PageServer(app(), "127.0.0.1", 0)
    running = asyncio.create_task(server.run())
    assert await answers(server.url)
    running.cancel()
    await asyncio.wait([running])
    port = int(server.url.rsplit(":", 1)[1].strip("/"))
    PageServer(app(), "127.0.0.1", port)._socket.close()


@pytest.mark.parametrize("host", ["127.0.0.1", "::1", "localhost"])
def test_on_this_machine_only_it_has_no_other_name(host: str) -> None:
    assert names_of(host) == ["localhost"]


def test_opened_to_others_it_is_asked_for_by_the_machines_name() -> None:
    assert {socket.gethostname(), f"{socket.gethostname()}.local"} < set(names_of("0.0.0.0"))
