"""A label that was scanned, or photographed where the device has a camera: its piece's page."""

from starlette.responses import JSONResponse, Response

from stockroom.page.asking import Ask, changes, go, shown
from stockroom.page.label_photo import number_in_photo
from stockroom.page.sent_body import number_typed

__all__ = ["ROUTES"]


def jump(ask: Ask) -> Response:
    """The page of a piece whose label a scanner typed."""
    return go(f"/rack/{number_typed(ask.query.get('piece', ''))}")


def photographed(ask: Ask) -> Response:
    """The page of a piece whose label is in the photo; its number alone, for a program."""
    number = number_in_photo(ask.photo)
    return JSONResponse({"piece": number}) if ask.program else go(f"/rack/{number}")


ROUTES = (
    shown("/scanned", jump),
    changes("/scanned", photographed, photo=True),
)
