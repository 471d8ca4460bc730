"""The command that serves the page: serve."""

import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from demo.workshop import MONDAY, WHO, make_workshop
from stockroom.cli.app import answer, bench, say
from stockroom.cli.building.at_bench import AtBench
from stockroom.page.safety.pairing import MINUTES
from stockroom.page.served import Served, serve_shop
from stockroom.page.server import addresses, hosts_of, listening, names_of, run
from stockroom.paper.codes import code_of
from stockroom.record.copies import folder_beside
from stockroom.refusals import Refused, Unreadable
from stockroom.screens.qr_lines import qr_lines
from stockroom.services.shop import Shop
from stockroom.words.language import word

if TYPE_CHECKING:
    from stockroom.page.safety.authority import Authority

__all__ = ["serve"]

HERE = ("127.0.0.1", "localhost", "::1")


def serve(
    ctx: typer.Context,
    host: Annotated[
        str,
        typer.Option("--host", metavar="ADDRESS",
                     help="Which address to listen at; 0.0.0.0 lets tablets find this computer."),
    ] = HERE[0],
    port: Annotated[int, typer.Option("--port", min=1, max=65535, help="Which port.")] = 8377,
    role: Annotated[
        str,
        typer.Option("--role", metavar="cutter|owner",
                     help="What the device may do that the code shown now lets in."),
    ] = "cutter",
    secure: Annotated[
        bool,
        typer.Option("--secure", help="Over https, by an authority of the shop's own; /trust has "
                     "the steps for a tablet."),
    ] = False,
    demo: Annotated[
        bool, typer.Option("--demo", help="Serve the invented workshop, in a record of its own.")
    ] = False,
) -> None:  # fmt: skip
    """Open the shop as pages, for a tablet at the saw and a screen at the counter.

    [dim]Example: stockroom serve --host 0.0.0.0[/dim]
    """
    if role not in ("cutter", "owner"):
        raise Unreadable(role, "of_choices", choices=("cutter", "owner"))
    here = bench(ctx)
    if not demo:
        open_pages(here, host, port, role, secure=secure)
        return
    with tempfile.TemporaryDirectory(prefix="stockroom-demo-") as folder:
        record = Path(folder) / "shop.db"
        make_workshop(record)
        say("The invented workshop, on a Monday; nothing of it is kept.")
        there = replace(here, where=str(record), who=WHO, day=MONDAY.isoformat())
        open_pages(there, host, port, role, secure=secure)


def open_pages(here: AtBench, host: str, port: int, role: str, *, secure: bool) -> None:
    """Serves a shop until Ctrl-C, and says where."""
    shop = here.open()
    hosts = hosts_of(addresses(host), port)
    authority = authority_for(shop, names_of(hosts)) if secure else None
    at = listening(host, port)
    served = serve_shop(shop, hosts, authority, shop.hand.day if here.day else None)
    run(served, at, lambda: tell(served, role, lets_in=host not in HERE))


def authority_for(shop: Shop, names: list[str]) -> "Authority":
    """The shop's authority for these addresses, kept beside its record.

    Raises:
        Refused: the library for certificates is not there, or what is kept can't be read.
    """
    try:
        from stockroom.page.safety.authority import authority_in
    except ModuleNotFoundError:
        raise Refused("https takes one more package, cryptography",
                      word("add it: {executable} -m pip install cryptography",
                           executable=sys.executable)) from None  # fmt: skip
    return authority_in(folder_beside(shop.engine, "page"), names)


def tell(served: Served, role: str, *, lets_in: bool) -> None:
    """Says where the page is, and how another device is let in."""
    answer(
        word("The shop's page: {scheme}://{hosts}", scheme=served.scheme, hosts=served.hosts[-2])
    )
    if not lets_in:
        answer("For this computer alone; with --host 0.0.0.0 tablets find it too.")
    else:
        code = served.codes.new("owner" if role == "owner" else "cutter")
        address = f"{served.scheme}://{served.hosts[0]}/enter"
        for line in qr_lines(code_of(f"{address}#{code}", "qr")):
            answer(line)
        answer(word("A device is let in once, as {role}, within {MINUTES} minutes: scan this, or "
                    "open {address} and type {code} {code_2}.", role=role, MINUTES=MINUTES,
                    address=address, code=code[:4], code_2=code[4:]))  # fmt: skip
        if served.authority is None:
            answer("The way there is not encrypted: whoever is on the shop's network can listen.")
    if served.authority is not None:
        made = "new; every tablet is to trust it" if served.authority.fresh else "as before"
        answer(word("The shop's own authority ({made}): {scheme}://{hosts}/trust has the steps. "
                    "Its fingerprint: {fingerprint}", made=made, scheme=served.scheme,
                    hosts=served.hosts[0], fingerprint=served.authority.fingerprint))  # fmt: skip
    answer("Ctrl-C ends it.")
