"""Trusting the shop's own authority: its certificate, and the steps for a tablet, also on paper.

It is open to devices that are not let in yet: nothing here is a secret.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from stockroom.page.rendering import html
from stockroom.paper.list_page import TICK, Listing, list_page
from stockroom.words.language import word

if TYPE_CHECKING:
    from stockroom.page.safety.authority import Authority
    from stockroom.page.served import Served

__all__ = ["ROUTES"]

FILE = "/trust/authority.crt"


@dataclass(frozen=True, slots=True)
class Steps:
    """What is done on one kind of tablet, in order."""

    tablet: str
    steps: tuple[str, ...]


KINDS = (
    Steps("Settings with “General” and “About”", (
        "Open the address in its own browser; at the warning, see details, then visit the page.",
        "Touch “The certificate” there, and allow the profile to be downloaded.",
        "Settings, at the top, “Profile downloaded”: compare the fingerprint in its details, "
        "then install it.",
        "Settings, General, About, “Certificate trust settings”: switch full trust on for it.",
        "Close the page and open the shop's address again: no warning comes.",
    )),
    Steps("Settings with “Security” or “Security and privacy”", (
        "In its browser, open the address; at the warning choose advanced, then to go on.",
        "Touch “The certificate” there; it is downloaded.",
        "Settings, Security, encryption and credentials (or more settings): install a certificate, "
        "“CA certificate”, install anyway, and choose the file.",
        "Settings, trusted credentials, user: compare its fingerprint.",
        "Close the page and open the shop's address again: no warning comes.",
    )),
)  # fmt: skip
"""The two kinds of tablets, as menus are named on most; from memory, and versions differ."""
WARNED = (
    "Install it only where the fingerprint is the one that the shop's computer shows.",
    "It speaks for this shop's addresses alone, and can be taken off in the same settings.",
    "If the computer's address changes, a new one is made: give the computer a fixed address.",
)


async def trust(request: Request) -> Response:
    """The steps, and the certificate to take."""
    served, authority = secured(request)
    return html("trust.html", 200, None, served=served, device=served.device_of(request),
                refusal=None, at="/trust", form={}, kinds=KINDS, warned=WARNED, file=FILE,
                address=address_of(served), fingerprint=authority.fingerprint)  # fmt: skip


async def certificate(request: Request) -> Response:
    """The authority's certificate, as a tablet takes it."""
    _, authority = secured(request)
    named = {"Content-Disposition": 'attachment; filename="shop-authority.crt"'}
    return Response(authority.as_file, media_type="application/x-x509-ca-cert", headers=named)


def on_paper(request: Request) -> Response:
    """The same steps as a page to print."""
    served, authority = secured(request)
    shop = served.shop
    rows: list[tuple[str, ...]] = []
    for kind in KINDS:
        rows.append(("", word(kind.tablet)))
        rows += [(TICK, word(step)) for step in kind.steps]
    bold = frozenset(at for at, row in enumerate(rows) if not row[0])
    listing = Listing(
        word("A tablet that trusts the shop"), f"{address_of(served)}/trust", shop.settings.name,
        (("", 1), ("step", 14)), tuple(rows),
        (word("Fingerprint (SHA-256): {fingerprint}", fingerprint=authority.fingerprint),
         *map(word, WARNED)), bold=bold,
    )  # fmt: skip
    made = list_page(listing, served.day or shop.hand.day, shop.settings.page)
    named = {"Content-Disposition": 'inline; filename="trust.pdf"'}
    return Response(made, media_type="application/pdf", headers=named)


def secured(request: Request) -> "tuple[Served, Authority]":
    """What is served, and its authority.

    Raises:
        HTTPException: the shop is served over plain http.
    """
    served: Served = request.app.state.served
    if served.authority is None:
        raise HTTPException(404)
    return served, served.authority


def address_of(served: "Served") -> str:
    """Where a tablet finds the shop."""
    return f"{served.scheme}://{served.hosts[0]}"


ROUTES = (
    Route("/trust", trust),
    Route(FILE, certificate),
    Route("/trust/paper", on_paper),
)
