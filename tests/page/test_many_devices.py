"""Many devices at once, and slow ones: each is served or let go, and none holds up another."""

import socket
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from unittest.mock import patch

import httpx
import pytest

from stockroom.services.rack.pieces import move
from stockroom.services.record.history import newest
from stockroom.services.shop import Shop
from tests.page.browser import Open

PAGES = 12


def test_twelve_open_pages_hear_of_a_change_while_others_are_answered(
    page_of: Open, shop: Shop
) -> None:
    listening = Barrier(PAGES + 1)
    before = newest(shop)[0]

    def page(_number: int) -> int:
        with httpx.stream("GET", f"{page_of.here}/news", timeout=30) as answer:
            for told in heard(answer):
                if told == before:
                    listening.wait(30)
                else:
                    return told
        return before

    with ThreadPoolExecutor(PAGES) as pages:
        told = pages.map(page, range(PAGES))
        listening.wait(30)
        assert page_of.ask("GET", "/rack").status_code == 200
        move(shop, 12, "Z9")
        assert list(told) == [before + 1] * PAGES


def heard(answer: httpx.Response) -> Iterator[int]:
    """The newest entries that a stream of news tells."""
    for line in answer.iter_lines():
        if line.startswith("data: "):
            yield int(line.split()[1])


@pytest.fixture
def slow(page_of: Open) -> Iterator[socket.socket]:
    """A client of a server that waits for a fifth of a second, no longer."""
    with (
        patch("stockroom.page.server.HEAD_SECONDS", 0.2),
        patch("stockroom.page.sent_body.BODY_SECONDS", 0.2),
        socket.create_connection(("127.0.0.1", page_of.port), timeout=30) as client,
    ):
        yield client


def answered(client: socket.socket, until: bytes) -> bytes:
    """What comes until these bytes are in it; without any, until the connection is closed."""
    answer = b""
    while not (until and until in answer) and (part := client.recv(65_536)):
        answer += part
    return answer


@pytest.mark.parametrize("begun", [b"", b"GET /rack HTTP/1.1\r\nHost: 127.0.0.1"])
def test_a_client_that_does_not_end_its_head_is_let_go(slow: socket.socket, begun: bytes) -> None:
    slow.sendall(begun)
    assert answered(slow, b"") == b""


def test_a_client_that_does_not_end_its_second_head_is_let_go(
    page_of: Open, slow: socket.socket
) -> None:
    slow.sendall(
        f"GET /static/enter.js HTTP/1.1\r\nHost: 127.0.0.1:{page_of.port}\r\n\r\n".encode()
    )
    assert b"200 OK" in answered(slow, b"history.replaceState")
    slow.sendall(b"GET /rack HTTP/1.1\r\nHost: 127")
    assert b"HTTP/1.1" not in answered(slow, b"")


def test_a_body_that_does_not_come_is_answered_408(page_of: Open, slow: socket.socket) -> None:
    here = f"127.0.0.1:{page_of.port}"
    slow.sendall(f"POST /rack/found HTTP/1.1\r\nHost: {here}\r\nOrigin: http://{here}\r\n"
                 "Content-Length: 90\r\n\r\nprofile=".encode())  # fmt: skip
    assert b"408 Request Timeout" in answered(slow, b"\r\n")
