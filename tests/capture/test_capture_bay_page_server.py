import asyncio
import select
import signal
import socket

import httpx
import pytest
from fastapi import FastAPI
from patience import PATIENCE_S, until

from capture.bay.page_server import PageServer, names_of, page_listener
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
    async with httpx.AsyncClient(timeout=PATIENCE_S) as client:
        return bool((await client.get(url)).json() == "here")


def has_ipv6() -> bool:
    try:
        socket.create_server(("::1", 0), family=socket.AF_INET6).close()
    except OSError:
        return False
    return True


# a machine without IPv6 is no fault
@pytest.mark.parametrize("host", ["127.0.0.1", *(["::1"] if has_ipv6() else [])])
async def test_it_serves_on_a_free_port_until_closed(host: str) -> None:
    with page_listener(host, 0) as listener:
        server = PageServer(app(), listener)
        before = signal.getsignal(signal.SIGINT)
        running = asyncio.create_task(server.run())
        assert await answers(listener.url)
        assert signal.getsignal(signal.SIGINT) is before, "the page took the bay's signals"
        server.close()
        await running
        async with httpx.AsyncClient() as client:
            with pytest.raises(httpx.ConnectError):
                await client.get(listener.url)


async def test_a_request_that_never_ends_does_not_hold_up_the_end() -> None:
    asked = asyncio.Event()
    with page_listener("127.0.0.1", 0) as listener:
        server = PageServer(app(asked), listener)
        running = asyncio.create_task(server.run())
        async with asyncio.timeout(PATIENCE_S), httpx.AsyncClient(timeout=None) as client:
            waiting = asyncio.create_task(client.get(f"{listener.url}never"))
            await asked.wait()
            server.close()
            await running
            waiting.cancel()
            await asyncio.wait([waiting])


async def test_who_comes_before_it_serves_is_answered_once_it_does() -> None:
    with page_listener("127.0.0.1", 0) as listener:
        async with httpx.AsyncClient(timeout=PATIENCE_S) as client:
            early = asyncio.create_task(client.get(listener.url))
            await until(lambda: select.select([listener.socket], [], [], 0.0)[0] != [])
            server = PageServer(app(), listener)
            running = asyncio.create_task(server.run())
            assert (await early).json() == "here"
        server.close()
        await running


def test_an_address_that_is_taken_is_told_with_the_way_out() -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with (
            pytest.raises(SourceError, match=f"127.0.0.1:{port}.*name a free port under `page:`"),
            page_listener("127.0.0.1", port),
        ):
            pass


async def test_cancelled_it_lets_go_of_its_port() -> None:
    with page_listener("127.0.0.1", 0) as listener:
        running = asyncio.create_task(PageServer(app(), listener).run())
        assert await answers(listener.url)
        port = listener.socket.getsockname()[1]
        running.cancel()
        await asyncio.wait([running])
        with page_listener("127.0.0.1", port):
            pass


@pytest.mark.parametrize("host", ["127.0.0.1", "::1", "localhost"])
def test_on_this_machine_only_it_has_no_other_name(host: str) -> None:
    assert names_of(host) == ["localhost"]


def test_opened_to_others_it_is_asked_for_by_the_machines_name() -> None:
    assert {socket.gethostname(), f"{socket.gethostname()}.local"} < set(names_of("0.0.0.0"))
