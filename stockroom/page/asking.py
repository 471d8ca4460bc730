"""How a request becomes the call of a page, and its answer: the one adapter of all pages.

A page is a plain function ``page(ask) -> Response`` that runs in a thread, so it may call any
service. It is put on the list of routes by ``shown`` (it only looks) or ``changes`` (it writes).
"""

import asyncio
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import BaseModel, ValidationError
from starlette.concurrency import run_in_threadpool
from starlette.convertors import Convertor, register_url_convertor
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from stockroom.page.rendering import html
from stockroom.page.safety.devices import Device, Role, may
from stockroom.page.safety.gate import BODY, PHOTO
from stockroom.page.served import Served
from stockroom.page.wording import Worded, worded
from stockroom.refusals import Recorded, StockroomError, Unreadable
from stockroom.services.shop import Shop
from stockroom.words.language import NO_SHOP, word

__all__ = ["Ask", "Page", "changes", "go", "number_typed", "render", "shown"]

MOST_FIELDS = 5_000
"""A shelf that is counted sends two fields a piece."""
BODY_SECONDS = 20.0
"""How long a body may take to come; a slower client is dropped."""


@dataclass(frozen=True)
class Ask:
    """What a page is asked: by which device, of which shop, with what.

    ``form`` holds a form's fields as typed (the last of a name), ``many`` all of a name, ``body``
    the checked body of a page that has a model, ``photo`` the bytes of an upload; ``program`` says
    that a program of the page asks, not a person who waits for another page. ``refusal`` is
    why a change was not made, where its page is shown again with what was typed.
    """

    served: Served
    shop: Shop
    device: Device
    at: str
    path: Mapping[str, Any] = field(default_factory=dict)
    query: Mapping[str, str] = field(default_factory=dict)
    form: Mapping[str, str] = field(default_factory=dict)
    many: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    body: Any = None
    photo: bytes = b""
    program: bool = False
    refusal: Worded | None = None

    def may(self, role: Role) -> bool:
        """True where the device may do what this role may."""
        return may(self.device, role)


Page = Callable[[Ask], Response]


class AskedNumber(Convertor[int]):
    """A number in a path, short enough for the record: ``/rack/{number:number}``."""

    regex = "[0-9]{1,9}"

    def convert(self, value: str) -> int:
        """The number."""
        return int(value)

    def to_string(self, value: int) -> str:
        """The path's part."""
        return str(value)


register_url_convertor("number", AskedNumber())


def shown(path: str, page: Page, role: Role = "cutter") -> Route:
    """A page to look at, for devices of this role and above."""

    async def endpoint(request: Request) -> Response:
        return await answered(request, page, role, None)

    return Route(path, endpoint, methods=["GET"], name=page.__name__)


def changes(
    path: str,
    page: Page,
    role: Role = "cutter",
    *,
    body: type[BaseModel] | None = None,
    again: Page | None = None,
    photo: bool = False,
) -> Route:
    """A change, sent as a form, or as JSON where it has a ``body``.

    ``again`` is the page that is shown again, with what was typed, when the change is refused.
    ``photo`` lets one picture come with the form, as its field ``photo``.
    """

    async def endpoint(request: Request) -> Response:
        return await answered(request, page, role, Sent(body, again, photo))

    return Route(path, endpoint, methods=["POST"], name=page.__name__)


@dataclass(frozen=True)
class Sent:
    """What a change takes with it."""

    body: type[BaseModel] | None
    again: Page | None
    photo: bool


async def answered(request: Request, page: Page, role: Role, sent: Sent | None) -> Response:
    """Lets the device in, reads what it sent, and calls the page in a thread."""
    served: Served = request.app.state.served
    device = served.device_of(request)
    if device is None:
        return refused(request, served, None, NOT_LET_IN)
    if not may(device, role):
        return refused(request, served, device, FOR_OWNERS)
    try:
        told = await read(request, sent)
    except StockroomError as error:
        return refused(request, served, device, worded(error))
    return await run_in_threadpool(called, request, served, device, page, sent, told)


NOT_LET_IN = Worded(401, "unpaired", "This device is not let in",
                    "It needs a code from the shop's computer.", "")  # fmt: skip
FOR_OWNERS = Worded(403, "owner", "For the shop's owner",
                    "This device cuts, moves, labels and counts.",
                    "The owner can do this at another device.")  # fmt: skip


def called(
    request: Request,
    served: Served,
    device: Device,
    page: Page,
    sent: Sent | None,
    told: dict[str, Any],
) -> Response:
    """The page's answer; a refusal of a service is worded, and shown where it was asked."""
    ask: Ask | None = None
    try:
        # A form or a body that has a key is recorded once under it, however often it comes.
        key = getattr(told.get("body"), "key", None) or told.get("form", {}).get("key") or None
        ask = Ask(
            served,
            served.shop_for(device, key),
            device,
            request.url.path,
            dict(request.path_params),
            plain(request.query_params.multi_items()),
            program=for_program(request),
            **told,
        )
        return page(ask)
    except StockroomError as error:
        shown = NO_SHOP if ask is None else ask.shop.settings
        refusal = worded(error, shown)
        if ask is not None and sent is not None and sent.again is not None:
            # What was recorded already is shown with a new key, so that another can follow it.
            form = {name: text for name, text in ask.form.items()
                    if name != "key" or not isinstance(error, Recorded)}  # fmt: skip
            try:
                answer = sent.again(replace(ask, form=form, refusal=refusal))
            except StockroomError:
                return refused(request, served, device, refusal)
            answer.status_code = refusal.status
            return answer
        return refused(request, served, device, refusal)


async def read(request: Request, sent: Sent | None) -> dict[str, Any]:
    """What came with a request, checked.

    Raises:
        Unreadable: it is not what the page takes.
        HTTPException: it is too large, or came too slowly.
    """
    if sent is None:
        return {}
    try:
        async with asyncio.timeout(BODY_SECONDS):
            raw = await whole_body(request, PHOTO if sent.photo else BODY)
            if sent.body is not None:
                return {"body": checked(sent.body, raw)}
            return await form_of(request)
    except TimeoutError:
        raise HTTPException(408) from None


async def whole_body(request: Request, most: int) -> bytes:
    """The body, if it is no larger than this; a form is then read from it."""
    parts, size = [], 0
    async for part in request.stream():
        size += len(part)
        if size > most:
            raise HTTPException(413)
        parts.append(part)
    # Starlette reads a form from the body that is kept here.
    request._body = b"".join(parts)  # noqa: SLF001
    return request._body  # noqa: SLF001


def checked(model: type[BaseModel], raw: bytes) -> BaseModel:
    """A body as its model takes it.

    Raises:
        Unreadable: says which field, and what it takes.
    """
    try:
        return model.model_validate_json(raw)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "the body"
        raise Unreadable(where, first["msg"]) from None


async def form_of(request: Request) -> dict[str, Any]:
    """The fields of a form, and the bytes of its photo."""
    pairs, photo = [], b""
    async with request.form(max_files=1, max_fields=MOST_FIELDS, max_part_size=BODY) as form:
        for name, value in form.multi_items():
            if isinstance(value, UploadFile):
                photo = await value.read()
            else:
                pairs.append((name, value))
    many: dict[str, tuple[str, ...]] = {}
    for name, text in pairs:
        many[name] = (*many.get(name, ()), text)
    return {"form": plain(pairs), "many": many, "photo": photo}


def plain(pairs: list[tuple[str, str]]) -> dict[str, str]:
    """Names and texts, the last of a name.

    Raises:
        Unreadable: a text has characters that cannot be shown.
    """
    for name, text in pairs:
        if not all(c.isprintable() or c in "\r\n\t" for c in name + text):
            raise Unreadable(name + text, "letters, digits and signs that can be shown")
    return dict(pairs)


def for_program(request: Request) -> bool:
    """True where a program of the page asks."""
    return "application/json" in request.headers.get("accept", "")


def refused(request: Request, served: Served, device: Device | None, refusal: Worded) -> Response:
    """A refusal as a page of its own, or as JSON for a program."""
    headers = {"Retry-After": "2"} if refusal.status == 503 else None
    if for_program(request):
        told = {"kind": refusal.kind, "said": word(refusal.said or refusal.heading),
                "remedy": word(refusal.remedy)}  # fmt: skip
        return JSONResponse(told, refusal.status, headers)
    template = "enter.html" if device is None else "refused.html"
    return html(template, refusal.status, headers, served=served, device=device, refusal=refusal,
                at=request.url.path, form={})  # fmt: skip


def render(ask: Ask, template: str, **values: Any) -> Response:
    """A page from its template, with what every page has."""
    return html(
        template, 200, None, ask=ask, served=ask.served, device=ask.device,
        settings=ask.shop.settings, at=ask.at, form=ask.form, refusal=ask.refusal,
        newest=ask.served.newest(), **values,
    )  # fmt: skip


def go(to: str) -> Response:
    """On to another page after a change (303, so that going back sends nothing again)."""
    return RedirectResponse(to, 303)


def number_typed(text: str) -> int:
    """A number as typed or scanned.

    Raises:
        Unreadable: it is none.
    """
    text = text.strip()
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise Unreadable(text, "a number, such as 214")
    return int(text)
