"""What every request passes first: the exact address, the origin of a change, the policy.

A page of another site may make a browser send requests here, or give its own name this computer's
address. So the Host must be one that is served (else 421, RFC 9110, 15.5.20), and a change must
come from a page of that same address (else 403). No page loads anything from elsewhere, runs a
line of script that is written in it, or is shown inside another.
"""

from collections.abc import Collection

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["Gate"]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    # Not "no-referrer": a browser then sends the origin of a form as null.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=()",
}
SAFE = ("GET", "HEAD")
BODY, PHOTO = 64 * 1024, 16 * 1024 * 1024
"""The most bytes that a change may send, and one with a photo."""


class Gate:
    """Lets through what is for us, and puts the policy on every answer."""

    def __init__(self, app: ASGIApp, hosts: Collection[str], scheme: str) -> None:
        self.app = app
        self.hosts = frozenset(hosts)
        self.scheme = scheme

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers a request, or passes it on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_policy(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        refusal = self.refusal(scope)
        if refusal is not None:
            await refusal(scope, receive, with_policy)
        else:
            await self.app(scope, receive, with_policy)

    def refusal(self, scope: Scope) -> PlainTextResponse | None:
        """Why a request is not let through; None where it is."""
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if host not in self.hosts or len(headers.getlist("host")) != 1:
            return PlainTextResponse("This address is not served here.", 421)
        if scope["method"] in SAFE:
            return None
        if headers.get("origin") != f"{self.scheme}://{host}":
            return PlainTextResponse("A change must come from the shop's own page.", 403)
        if headers.get("sec-fetch-site", "same-origin") != "same-origin":
            return PlainTextResponse("A change must come from the shop's own page.", 403)
        return None
