"""Letting a device in by the code that is shown at the shop's computer."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from stockroom.page.rendering import html
from stockroom.page.sent_body import Sent, read
from stockroom.page.served import Served
from stockroom.page.wording import worded
from stockroom.refusals import StockroomError

__all__ = ["ROUTES"]

A_YEAR = 365 * 24 * 3600
FORM = Sent(None, False)


async def enter(request: Request) -> Response:
    """The page that asks for a code; a device that is let in already goes on."""
    served: Served = request.app.state.served
    if served.device_of(request) is not None:
        return RedirectResponse("/", 303)
    return html("enter.html", 200, None, served=served, device=None, refusal=None, at="/enter",
                form={})  # fmt: skip


async def let_in(request: Request) -> Response:
    """Takes the code, lists the device, and gives it its token as a cookie."""
    served: Served = request.app.state.served
    form: dict[str, str] = {}
    try:
        form = (await read(request, FORM))["form"]
        role = served.codes.use(form.get("code", ""))
        token = await run_in_threadpool(served.devices.let_in, form.get("who", ""), role)
    except StockroomError as error:
        refusal = worded(error, form=form)
        return html("enter.html", refusal.status, None, served=served, device=None,
                    refusal=refusal, at="/enter", form={"who": form.get("who", "")})  # fmt: skip
    answer = RedirectResponse("/", 303)
    answer.set_cookie(served.devices.cookie, token, max_age=A_YEAR, httponly=True,
                      samesite="lax", secure=served.scheme == "https")  # fmt: skip
    return answer


ROUTES = (
    Route("/enter", enter, methods=["GET"]),
    Route("/enter", let_in, methods=["POST"]),
)
