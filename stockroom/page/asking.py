"""How a request becomes the call of a page, and its answer: the one adapter of all pages.

A page is a plain function ``page(ask) -> Response`` that runs in a thread, so it may call any
service. It is put on the list of routes by ``shown`` (it only looks) or ``changes`` (it writes).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool
from starlette.convertors import Convertor, register_url_convertor
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from stockroom.page.field_labels import labelled
from stockroom.page.rendering import html
from stockroom.page.safety.devices import Device, Role, may
from stockroom.page.sent_body import Sent, plain, read
from stockroom.page.served import Served
from stockroom.page.wording import Worded, worded
from stockroom.refusals import Recorded, StockroomError
from stockroom.services.shop import Shop
from stockroom.words.language import NO_SHOP, word

__all__ = ["Ask", "Page", "changes", "go", "render", "shown"]


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
        return await answered(request, page, role, Sent(body, photo), again)

    return Route(path, endpoint, methods=["POST"], name=page.__name__)


async def answered(
    request: Request, page: Page, role: Role, sent: Sent | None, again: Page | None = None
) -> Response:
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
    return await run_in_threadpool(called, request, device, page, again, told)


NOT_LET_IN = Worded(401, "unpaired", "This device is not let in",
                    "It needs a code from the shop's computer.", "")  # fmt: skip
FOR_OWNERS = Worded(403, "owner", "For the shop's owner",
                    "This device cuts, moves, labels and counts.",
                    "The owner can do this at another device.")  # fmt: skip


def called(
    request: Request, device: Device, page: Page, again: Page | None, told: dict[str, Any]
) -> Response:
    """The page's answer; a refusal of a service is worded, and shown where it was asked."""
    served: Served = request.app.state.served
    ask: Ask | None = None
    try:
        ask = asked(request, served, device, told)
        return page(ask)
    except StockroomError as error:
        shown = NO_SHOP if ask is None else ask.shop.settings
        refusal = worded(error, shown, told.get("form", {}))
        if ask is not None and again is not None:
            # What was recorded already is shown with a new key, so that another can follow it.
            form = {name: text for name, text in ask.form.items()
                    if name != "key" or not isinstance(error, Recorded)}  # fmt: skip
            try:
                answer = again(replace(ask, form=form, refusal=refusal))
            except StockroomError:
                return refused(request, served, device, refusal)
            answer.status_code = refusal.status
            return answer
        return refused(request, served, device, refusal)


def asked(request: Request, served: Served, device: Device, told: dict[str, Any]) -> Ask:
    """What a page is asked; a form or a body that has a key is recorded once under it."""
    key = getattr(told.get("body"), "key", None) or told.get("form", {}).get("key") or None
    return Ask(
        served, served.shop_for(device, key), device, request.url.path,
        dict(request.path_params), plain(request.query_params.multi_items()),
        program=for_program(request), **told,
    )  # fmt: skip


def for_program(request: Request) -> bool:
    """True where a program of the page asks."""
    return "application/json" in request.headers.get("accept", "")


def refused(request: Request, served: Served, device: Device | None, refusal: Worded) -> Response:
    """A refusal as a page of its own, or as JSON for a program."""
    headers = {"Retry-After": "2"} if refusal.status == 503 else None
    if for_program(request):
        told = {"kind": refusal.kind, "said": labelled(word(refusal.said or refusal.heading)),
                "remedy": labelled(word(refusal.remedy))}  # fmt: skip
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
