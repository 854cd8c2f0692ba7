"""Who may ask, and what every reply carries whichever layer makes it."""

from __future__ import annotations

import secrets
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse
from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from limbwright.service import schema

TOKEN_HEADER = "X-Limbwright-Token"
LOCAL_HOSTS = ("127.0.0.1", "localhost", "[::1]")
CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:"
    " blob:; connect-src 'self'; worker-src 'self' blob:; base-uri 'none'; form-action 'none';"
    " frame-ancestors 'none'"
)
TOO_LARGE = "What was sent is larger than the workshop takes; reduce it."
_PLAIN = b"text/plain"


class SealedService(FastAPI):
    """Every reply under a strict content policy; what may tell of a person is kept nowhere."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request."""
        if scope["type"] != "http":
            await super().__call__(scope, receive, send)
            return
        told_otherwise = False

        async def sealed(message: Message) -> None:
            nonlocal told_otherwise
            if told_otherwise:
                return
            if _is_bare_refusal(message):
                # Made before our own handlers have a say: the page expects a problem.
                told_otherwise = True
                await problem(413, TOO_LARGE)(scope, receive, _sealing(scope, send))
                return
            await _sealing(scope, send)(message)

        await super().__call__(scope, receive, sealed)


def _is_bare_refusal(message: Message) -> bool:
    if message["type"] != "http.response.start" or message["status"] != 413:
        return False
    return any(
        name == b"content-type" and value.startswith(_PLAIN) for name, value in message["headers"]
    )


def _sealing(scope: Scope, send: Send) -> Send:
    async def sealed(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            headers["Content-Security-Policy"] = CONTENT_POLICY
            headers["X-Content-Type-Options"] = "nosniff"
            headers["Referrer-Policy"] = "no-referrer"
            headers["Cross-Origin-Resource-Policy"] = "same-origin"
            if scope["path"].startswith("/api"):
                headers["Cache-Control"] = "no-store"
        await send(message)

    return sealed


class Guard:
    """Only this machine, only the workshop's own page, only with the token."""

    def __init__(self, app: ASGIApp, token: str) -> None:
        self._app = app
        self._token = token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        refused = self._refusal(Request(scope)) if scope["type"] == "http" else None
        await (refused or self._app)(scope, receive, send)

    def _refusal(self, request: Request) -> Response | None:
        host = request.headers.get("host", "")
        origin = request.headers.get("origin")
        if host.rsplit(":", 1)[0] not in LOCAL_HOSTS:
            # Whatever name another site has made point to this machine.
            return problem(403, "Only this machine may open the workshop.")
        if origin is not None and origin != f"http://{host}":
            return problem(403, "Only the workshop's own page may ask for this.")
        given = request.headers.get(TOKEN_HEADER, "")
        if request.url.path.startswith("/api") and not secrets.compare_digest(
            given.encode(), self._token.encode()
        ):
            return problem(
                401,
                "This page does not belong to the running workshop; open the address that it"
                " printed, in this same tab if something here is not stored.",
            )
        return None


_TITLES = {
    401: "not admitted",
    403: "not admitted",
    404: "not found",
    409: "changed elsewhere",
    410: "another case",
    413: "too large",
    422: "refused",
    500: "fault",
    507: "not written",
}


def problem(
    status: int,
    detail: str,
    *,
    where: str | None = None,
    problems: list[dict[str, str]] | None = None,
) -> JSONResponse:
    """A refusal as RFC 9457 describes one."""
    body: dict[str, Any] = schema.Problem(
        type="about:blank",
        title=_TITLES.get(status, "refused"),
        status=status,
        # What was sent may be said back and need not be whole text.
        detail=detail.encode("utf-8", "replace").decode(),
        where=where,
        problems=problems,
    ).model_dump(exclude_none=True)
    return JSONResponse(body, status, media_type="application/problem+json")
