"""A body is capped while it streams in, whatever it says of its length, and nothing is parsed of it."""

import asyncio
from collections.abc import Iterable
from itertools import chain
from typing import Any

import pytest

from evenground.studio.bodies import BodyCap, Message, Receive, Send


class Inside:
    """An app that reads the whole body, as Django does, and says how much came."""

    def __init__(self) -> None:
        self.came = 0
        self.whole = False

    async def __call__(self, _scope: Any, receive: Receive, send: Send) -> None:
        more = True
        while more:
            message = await receive()
            self.came += len(message.get("body", b""))
            more = bool(message.get("more_body", False))
        self.whole = True
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"fine"})


def sent(pieces: Iterable[bytes], kind: bytes, said_length: int | None = None) -> tuple[int, Inside]:
    inside, answers = Inside(), []
    cap = BodyCap(inside, plain_bytes=100, upload_bytes=1000)
    headers = [(b"content-type", kind)]
    headers += [] if said_length is None else [(b"content-length", str(said_length).encode())]
    waiting = chain(pieces, [None])

    async def receive() -> Message:
        piece = next(waiting)
        return {"type": "http.request", "body": piece or b"", "more_body": piece is not None}

    async def send(message: Message) -> None:
        answers.append(message)

    asyncio.run(cap({"type": "http", "headers": headers}, receive, send))
    return int(answers[0]["status"]), inside


FORM, FILES = b"application/x-www-form-urlencoded", b"multipart/form-data; boundary=x"


@pytest.mark.parametrize(("kind", "size"), [(FORM, 100), (FILES, 1000)])
def test_a_body_up_to_the_cap_goes_through(kind: bytes, size: int) -> None:
    status, inside = sent([bytes(size)], kind)
    assert (status, inside.came, inside.whole) == (200, size, True)


@pytest.mark.parametrize(("kind", "size"), [(FORM, 101), (FILES, 1001)])
def test_one_byte_more_is_refused(kind: bytes, size: int) -> None:
    status, inside = sent([bytes(size)], kind)
    assert (status, inside.whole) == (413, False)


def test_an_endless_stream_is_cut_at_the_cap_and_not_after_it() -> None:
    status, inside = sent((bytes(64) for _ in range(10**9)), FILES)
    assert status == 413
    assert inside.came <= 1000


def test_a_body_that_says_it_is_too_long_is_not_even_begun() -> None:
    status, inside = sent([bytes(10)], FILES, said_length=1001)
    assert (status, inside.came) == (413, 0)


def test_a_length_that_lies_does_not_help() -> None:
    assert sent([bytes(60), bytes(60)], FORM, said_length=10)[0] == 413
