"""The command that serves the page: serve."""

import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from demo.workshop import MONDAY, WHO, make_workshop
from stockroom.cli.app import AtBench, answer, bench, say
from stockroom.page.safety.pairing import MINUTES
from stockroom.page.served import Served, serve_shop
from stockroom.page.server import addresses, hosts_of, listening, run
from stockroom.paper.codes import code_of
from stockroom.refusals import Unreadable
from stockroom.screens.qr_lines import qr_lines

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
    demo: Annotated[
        bool, typer.Option("--demo", help="Serve the invented workshop, in a record of its own.")
    ] = False,
) -> None:  # fmt: skip
    """Open the shop as pages, for a tablet at the saw and a screen at the counter.

    [dim]Example: stockroom serve --host 0.0.0.0[/dim]
    """
    if role not in ("cutter", "owner"):
        raise Unreadable(role, "cutter or owner")
    here = bench(ctx)
    if not demo:
        open_pages(here, host, port, role)
        return
    with tempfile.TemporaryDirectory(prefix="stockroom-demo-") as folder:
        record = Path(folder) / "shop.db"
        make_workshop(record)
        say("The invented workshop, on a Monday; nothing of it is kept.")
        open_pages(
            replace(here, where=str(record), who=WHO, day=MONDAY.isoformat()), host, port, role
        )


def open_pages(here: AtBench, host: str, port: int, role: str) -> None:
    """Serves a shop until Ctrl-C, and says where."""
    shop = here.open()
    names = addresses(host)
    at = listening(host, port)
    served = serve_shop(shop, hosts_of(names, port), day=shop.hand.day if here.day else None)
    run(served, at, lambda: tell(served, role, lets_in=host not in HERE))


def tell(served: Served, role: str, *, lets_in: bool) -> None:
    """Says where the page is, and how another device is let in."""
    answer(f"The shop's page: {served.scheme}://{served.hosts[-2]}")
    if not lets_in:
        answer("For this computer alone; with --host 0.0.0.0 tablets find it too.")
    else:
        code = served.codes.new("owner" if role == "owner" else "cutter")
        address = f"{served.scheme}://{served.hosts[0]}/enter"
        for line in qr_lines(code_of(f"{address}#{code}", "qr")):
            answer(line)
        answer(f"A device is let in once, as {role}, within {MINUTES} minutes: scan this, "
                   f"or open {address} and type {code[:4]} {code[4:]}.")  # fmt: skip
        answer("The way there is not encrypted: whoever is on the shop's network can listen.")
    answer("Ctrl-C ends it.")
