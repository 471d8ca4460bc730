"""The pages as one application: their routes, what every request passes, the news."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from stockroom.page.asking import NOT_LET_IN, refused
from stockroom.page.safety.gate import Gate
from stockroom.page.served import Served
from stockroom.page.translated import in_program
from stockroom.page.views import (
    bench_page,
    count_page,
    counter_page,
    devices_page,
    enter_page,
    home_page,
    morning_page,
    mouldings_page,
    numbers_page,
    quotes_page,
    rack_changes_page,
    rack_page,
    record_page,
    saw_page,
    scan_page,
    trust_page,
    week_page,
)
from stockroom.page.wording import Worded
from stockroom.words.language import word
from stockroom.words.languages import other_words, spoken

__all__ = ["application"]

PAGES = (
    home_page, morning_page, saw_page, counter_page, bench_page, quotes_page, mouldings_page,
    rack_page, rack_changes_page, count_page, week_page, numbers_page, devices_page, record_page,
    scan_page,
)  # fmt: skip
"""The modules that hold pages: each has its ``ROUTES``."""
SAID = {
    400: ("Not understood", "The request can't be read."),
    404: ("Not found", "There is no such page."),
    405: ("Not understood", "This page takes no such request."),
    408: ("Too slow", "What was sent did not arrive in time; nothing was changed."),
    413: ("Too large", "More was sent than this page takes; nothing was changed."),
}
CACHED = "no-cache"
"""A browser keeps styles and scripts, and asks each time whether they are still the newest."""


def application(served: Served) -> Starlette:
    """The application that serves a shop."""
    app = Starlette(
        routes=routes(),
        middleware=[Middleware(Gate, hosts=served.hosts, scheme=served.scheme)],
        exception_handlers={HTTPException: said},  # type: ignore[dict-item]
        lifespan=watching,
    )
    app.state.served = served
    return app


def routes() -> list[BaseRoute]:
    """Every address that is served."""
    static = Programs(directory=str(files("stockroom.page") / "static"))
    # The typeface of everything that is printed, so that page and paper look alike.
    typeface = StaticFiles(directory=str(files("font_roboto") / "files"))
    return [
        *(route for module in PAGES for route in module.ROUTES),
        *enter_page.ROUTES,
        *trust_page.ROUTES,
        Route("/news", news),
        Route("/saw-kept.js", worker),
        Mount("/static", KeptFile(static)),
        Mount("/type", KeptFile(typeface)),
    ]


class Programs(StaticFiles):
    """The page's own files, its programs in the language that is spoken."""

    async def get_response(self, path: str, scope: Any) -> Response:
        """A file, or a program in another language."""
        words = other_words(spoken())
        if not (words and path.endswith(".js")):
            return await super().get_response(path, scope)
        file, _ = self.lookup_path(path)
        text = Path(file).read_text(encoding="utf-8")
        said = in_program(text, lambda told: words.get(told, told))
        return Response(said, media_type="text/javascript")


class KeptFile:
    """Files that a browser may keep as long as it asks whether they changed."""

    def __init__(self, app: StaticFiles) -> None:
        self.app = app

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """The file, with leave to keep it."""

        async def with_leave(message: Any) -> None:
            if message["type"] == "http.response.start":
                message["headers"].append((b"cache-control", CACHED.encode()))
            await send(message)

        await self.app(scope, receive, with_leave)


async def news(request: Request) -> Response:
    """The stream of news, for as long as the page is open."""
    served: Served = request.app.state.served
    if served.device_of(request) is None:
        return PlainTextResponse(NOT_LET_IN.heading, 401)
    return StreamingResponse(served.news.stream(), media_type="text/event-stream")


async def worker(_request: Request) -> Response:
    """The worker that keeps the saw's page: at the root, since it may keep what lies below it."""
    file = files("stockroom.page") / "static" / "saw" / "worker.js"
    headers = {"Cache-Control": CACHED}
    return Response(file.read_bytes(), media_type="text/javascript", headers=headers)


@asynccontextmanager
async def watching(app: Starlette) -> AsyncIterator[None]:
    """The watcher runs as long as the server does."""
    served: Served = app.state.served
    task = asyncio.create_task(served.news.watch())
    yield
    served.news.close()
    served.runs.end()
    task.cancel()
    served.shop.engine.dispose()


def said(request: Request, error: HTTPException) -> Response:
    """What the framework refuses, in the page's words."""
    served: Served = request.app.state.served
    heading, text = SAID.get(error.status_code, ("Not understood", ""))
    refusal = Worded(error.status_code, "refused", word(heading), word(text), "")
    device = served.device_of(request)
    if device is None:
        return PlainTextResponse(heading, error.status_code)
    return refused(request, served, device, refusal)
