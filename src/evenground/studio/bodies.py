"""Caps a request's body while it streams in, before any of it is parsed."""

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

__all__ = ["BodyCap"]

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[MutableMapping[str, Any], Receive, Send], Awaitable[None]]

_SAID = b"This file is too large to take in. Send one recording at a time."


class _TooMuchError(Exception):
    """More came than may come."""


class BodyCap:
    """An ASGI app around another: stops a body at its cap, and what came so far is thrown away.

    Parameters
    ----------
    app
        The app inside.
    plain_bytes, upload_bytes
        The largest body of any request, and of a form that sends files.
    """

    def __init__(self, app: App, *, plain_bytes: int, upload_bytes: int) -> None:
        self._app, self._plain, self._upload = app, plain_bytes, upload_bytes

    async def __call__(self, scope: MutableMapping[str, Any], receive: Receive, send: Send) -> None:
        """Pass a request on, counting."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = dict(scope.get("headers", []))
        kind = headers.get(b"content-type", b"").lower()
        files = kind.startswith((b"multipart/form-data", b"application/octet-stream"))
        cap = self._upload if files else self._plain
        said = headers.get(b"content-length", b"0")
        if said.isdigit() and int(said) > cap:
            await _refuse(send)
            return
        started, come = False, 0

        async def counted() -> Message:
            nonlocal come
            message = await receive()
            come += len(message.get("body", b""))
            if come > cap:
                raise _TooMuchError
            return message

        async def watched(message: Message) -> None:
            nonlocal started
            started = True
            await send(message)

        try:
            await self._app(scope, counted, watched)
        except _TooMuchError:
            if not started:
                await _refuse(send)


async def _refuse(send: Send) -> None:
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(_SAID)).encode()),
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": 413, "headers": headers})
    await send({"type": "http.response.body", "body": _SAID})
