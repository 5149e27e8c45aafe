import itertools
import socket
import termios
import threading
from collections.abc import Callable

import pytest
from patience import wait_until
from transports import Plug, running

from capture.sources.base.clock import Clock
from capture.sources.base.settings import LineSettings
from capture.sources.serial.serial_port import LONGEST_LINE, SerialLines
from decode.records import Flag

HELLO = "rate 100\r\ngo\r\n"


def lines(url: str, **settings: object) -> SerialLines:
    """A source that says HELLO when it has opened its port: before, the system keeps no byte."""
    told = {"url": url, "send": ["rate 100\r\n", "go\r\n"], **settings}
    return SerialLines("dyno", LineSettings.model_validate(told), Clock())


def wait_for_hello(read: Callable[[], bytes]) -> None:
    heard = b""

    def heard_all() -> bool:
        nonlocal heard
        heard += read()
        return heard == HELLO.encode()

    wait_until(heard_all)


def test_the_fragment_before_the_first_line_end_is_no_line(plug: Plug) -> None:
    with running(lines(plug.url)) as source:
        wait_for_hello(plug.read)
        plug.write(b"5;1200\r\nD;12.5;")
        plug.write(b"1210\r\n\r\nD;12.6;1220\rD;12.7;1230\n")
        wait_until(lambda: len(source.payloads) == 3)
    assert source.payloads == [b"D;12.5;1210", b"D;12.6;1220", b"D;12.7;1230"]


def test_the_first_line_of_a_device_that_waits_to_be_told_is_whole(plug: Plug) -> None:
    with running(lines(plug.url, first_line_whole=True)) as source:
        wait_for_hello(plug.read)
        plug.write(b"first\n")
        wait_until(lambda: source.payloads == [b"first"])


def test_a_device_that_sends_on_from_before_begins_with_a_fragment(plug: Plug) -> None:
    """It was told before the cable was pulled: a piece of `1234567;1` would be read as 67 or 7."""
    stop = threading.Event()

    def send_on() -> None:
        for byte in itertools.cycle(b"1234567;1\n"):
            plug.write(bytes([byte]))
            if stop.wait(0.001):
                return

    sending = threading.Thread(target=send_on)
    sending.start()
    with running(lines(plug.url, first_line_whole=True)) as source:
        wait_until(lambda: len(source.payloads) > 3)
    stop.set()
    sending.join()
    assert set(source.payloads) == {b"1234567;1"}


def test_noise_without_line_ends_is_dropped_up_to_the_next_line(plug: Plug) -> None:
    with running(lines(plug.url)) as source:
        wait_for_hello(plug.read)
        plug.write(b"\n" + b"\xa5" * (3 * LONGEST_LINE) + b"end of noise\nD;1;2\n")
        wait_until(lambda: source.payloads == [b"D;1;2"])
    assert sum(batch.dropped_before for batch in source.batches) == 1


def test_a_line_with_a_control_character_is_flagged_as_damaged(plug: Plug) -> None:
    with running(lines(plug.url)) as source:
        wait_for_hello(plug.read)
        plug.write("\nD;1\x00;2\nD;\t25 °C;3\n".encode())
        wait_until(lambda: len(source.payloads) == 2)
    assert source.column("flags") == [Flag.ERROR, Flag.NONE]


def test_bytes_without_a_line_are_told_from_silence(plug: Plug) -> None:
    """A wrong baud rate: the port is open, bytes come, and nobody knows why nothing is heard."""
    with running(lines(plug.url, baud=9_600)) as source:
        wait_for_hello(plug.read)
        plug.write(b"\xa5" * 200)
        plug.wait_until_read()
    assert f"{plug.url}: 200 bytes came and no text line among them" in str(source.error)
    assert "(9600)" in str(source.error)
    with running(lines(plug.url)) as source:
        wait_for_hello(plug.read)
    assert source.error is None


def test_unplugging_is_a_source_error(plug: Plug) -> None:
    with running(lines(plug.url)) as source:
        wait_for_hello(plug.read)
        plug.write(b"\nD;1\n")
        wait_until(lambda: bool(source.batches))
        plug.unplug()
        wait_until(lambda: source.error is not None)
    assert plug.url in str(source.error)


@pytest.mark.parametrize(("parity", "checked"), [("none", False), ("even", True), ("mark", True)])
def test_parity_is_checked_where_it_is_sent(plug: Plug, parity: str, checked: bool) -> None:
    """A byte with the wrong one then comes as NUL; pyserial alone lets it pass as it is."""
    with running(lines(plug.url, parity=parity)):
        wait_for_hello(plug.read)
        attributes = termios.tcgetattr(plug._slave)
    assert bool(attributes[0] & termios.INPCK) == checked
    assert not attributes[0] & (termios.IGNPAR | termios.PARMRK)


def test_settings_that_the_driver_refuses_are_a_source_error(
    plug: Plug, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A driver that knows no such rate or parity: termios.error, which is no OSError."""

    def refuse(*_: object) -> None:
        raise termios.error(22, "Invalid argument")

    monkeypatch.setattr(termios, "tcsetattr", refuse)
    with running(lines(plug.url, baud=123_457, parity="mark")) as source:
        wait_until(lambda: source.error is not None)
    assert f"{plug.url} does not take 123457 baud, 8 data bits, parity mark" in str(source.error)


def test_lines_over_tcp_and_the_end_of_the_connection() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        far_end: list[socket.socket] = []
        accepting = threading.Thread(target=lambda: far_end.append(server.accept()[0]))
        accepting.start()
        with running(lines(f"socket://127.0.0.1:{port}", first_line_whole=True)) as source:
            accepting.join()
            wait_for_hello(lambda: far_end[0].recv(100))
            far_end[0].sendall(b"L;0.98\nL;0.97\n")
            wait_until(lambda: source.payloads == [b"L;0.98", b"L;0.97"])
            far_end[0].close()
            wait_until(lambda: source.error is not None)
