"""The first page: what waits at each place of the shop."""

from starlette.responses import Response

from stockroom.page.asking import Ask, render, shown

__all__ = ["ROUTES"]


def home(ask: Ask) -> Response:
    """The places of the shop."""
    return render(ask, "home.html")


ROUTES = (shown("/", home),)
