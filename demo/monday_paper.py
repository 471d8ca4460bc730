"""A whole Monday's paper of the invented workshop in one PDF, to be looked at.

``python -m demo.monday_paper FILE`` plays the morning and prints the day, the cut sheet, its stop
list, glass and mats, the tickets of the jobs that are cut, a shelf to count, labels, a receipt, the
week and an order as it is sent. It needs pypdfium2, one of the tests' packages.
"""

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from demo.monday import HERE, MONDAY, workshop_settings
from demo.runner import Runner
from seeds import csv_path

__all__ = ["main"]

ADDRESS = "4 Gull Lane / Netherby Quay / tel. 555 0142"
TICKETS = ("J1", "J5", "J7")
TO_ORDER = ("LARK", "ASH-22=6", "PINE-20=12", "BASS-25=2")


def morning(run: Runner) -> None:
    """The shop set up, Monday's jobs taken in, the plan accepted."""
    run("setup", *(f"--set={row}" for row in workshop_settings()), f"--set=address={ADDRESS}")
    run("load-suppliers", str(csv_path("suppliers")))
    run("load-profiles", str(csv_path("profiles")))
    run("load-rack", str(HERE / "rack.csv"))
    run("load-past", str(HERE / "past.csv"))
    run("receive", "ASH-22", "A118", "3004 mm", "2998 mm", "--at", "A1")
    run("take-file", str(HERE / "jobs.csv"))
    run("plan")
    run("accept")


def printed(run: Runner, folder: Path) -> Iterator[Path]:
    """Each page's file as it is printed."""
    todo = [
        ("day", ("paper", "day")), ("sheet", ("sheet", "1")), ("stops", ("sheet", "1", "--stops")),
        ("glass", ("paper", "glass", "--until", "2026-11-28")),
        *((f"ticket-{job}", ("ticket", job)) for job in TICKETS),
        ("shelf", ("paper", "shelves", "--at", "A1")), ("receipt", ("paper", "receipt", "J19")),
        ("backs", ("paper", "label", "J7")),
    ]  # fmt: skip
    for name, words in todo:
        file = folder / f"{name}.pdf"
        run(*words, str(file))
        yield file
    for name, words in (("labels", ("labels", "1..12", "--to")), ("week", ("order", "--print"))):
        run(*words, str(folder / f"{name}.pdf"))
        yield folder / f"{name}.pdf"
    run("orders", "draft", *TO_ORDER)
    run("orders", "show", "1", "--print", str(folder / "order.pdf"))
    yield folder / "order.pdf"


def main(to: Path) -> int:
    """Prints all of it into one new file; gives how many pages that are."""
    import pypdfium2

    with tempfile.TemporaryDirectory(prefix="stockroom-paper-") as folder:
        run = Runner(Path(folder) / "shop.db", MONDAY)
        morning(run)
        whole = pypdfium2.PdfDocument.new()
        for file in printed(run, Path(folder)):
            with pypdfium2.PdfDocument(file) as one:
                whole.import_pages(one)
        pages = len(whole)
        whole.save(to)
        whole.close()
    return pages


if __name__ == "__main__":
    print(main(Path(sys.argv[1])), "pages")
