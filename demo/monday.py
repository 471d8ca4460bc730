"""A Monday in the invented workshop, played with the program's own commands."""

import tempfile
from pathlib import Path

import typer

from demo.runner import WHO, DemoFault, Runner, chapter
from demo.week import week
from seeds import csv_path
from stockroom.refusals import Refused
from stockroom.services.morning.sheets import newest_plan, sheet_of, to_settle
from stockroom.services.shop import open_shop
from stockroom.views.sheet import SheetPiece

__all__ = ["MONDAY", "play"]

HERE = Path(__file__).parent
MONDAY = "2026-11-23"


def play(folder: Path | None) -> None:
    """Plays the day in a new folder, kept if one is named.

    Raises:
        Refused: the folder is there already.
    """
    if folder is None:
        with tempfile.TemporaryDirectory(prefix="stockroom-demo-") as temporary:
            whole(Path(temporary) / "shop.db")
        return
    if folder.exists():
        raise Refused(f"there is a folder already: {folder}", "name a new one")
    folder.mkdir(parents=True)
    whole(folder / "shop.db")
    typer.echo(f"\nThe workshop's record stays at {folder / 'shop.db'}; go on with:")
    typer.echo(f"  stockroom --shop {folder / 'shop.db'} --day {MONDAY} jobs")


def whole(record: Path) -> None:
    """Monday and the week after it."""
    monday(record)
    week(record)


def monday(record: Path) -> None:
    """The day: set up, receive, take in, plan, cut, order."""
    run = Runner(record, MONDAY)
    chapter("A new shop, its catalogue and the rack as it is found")
    settings = [f"--set={row}" for row in workshop_settings()]
    run("setup", *settings)
    run("load-suppliers", str(csv_path("suppliers")))
    run("load-profiles", str(csv_path("profiles")))
    run("load-rack", str(HERE / "rack.csv"))
    run("load-past", str(HERE / "past.csv"))
    chapter("Monday's delivery, and the week's jobs from the counter's list")
    run("receive", "ASH-22", "A118", "3004 mm", "2998 mm", "--at", "A1")
    run("take-file", str(HERE / "jobs.csv"))
    run("find", "ASH-22", "--over", "30")
    chapter("Morning: which pieces to cut for today's frames")
    run("plan")
    run("accept")
    chapter("At the saw: one rail slips, one piece shows a split, the rest goes to plan")
    number, miscut, flawed = what_goes_wrong(record)
    run("cut", str(number), "--piece", str(miscut.number), "--miscut", "1",
        "--why", "slipped in the jig")  # fmt: skip
    run("cut", str(number), "--piece", str(flawed.number), "--not-today", "--flaw", "4..5 1/2",
        "--why", "a split")  # fmt: skip
    run("cut", str(number), "--as-planned")
    chapter("What must be cut again goes into the next plan")
    run("plan", "--accept")
    run("cut", "--as-planned")
    chapter("The rack after, the jobs that wait, and the week's order")
    run("find", "--kind", "offcut", "--over", "40")
    run("jobs", "--until", "2026-11-25")
    run("profile", "LEAF-SIL-32", "--set", "last_order=2026-11-27", "--why", "it is given up")
    run("order", "--until", "2026-11-24")
    at_the_counter(run)
    chapter("And the record is true")
    run("audit")


def at_the_counter(run: "Runner") -> None:
    """A day and a price asked for, a job of it, chops in part; frames of one piece."""
    chapter("At the counter: a day, a price, a job, half of its rails as chops, and its pair")
    asked = ("-p", "LEAF-GLD-20", "-w", "18", "--height", "24")
    run("promise", *asked, "--due", "fri")
    run("quote", "--customer", "T. Quill", *asked, "--due", "2026-12-18")
    run("take-quote")
    run("supplied", "J41", "--came", "2x 25 1/4", "--why", "the short pair is dented")
    run("take", "--customer", "T. Quill", "--title", "its pair", *asked, "--due", "2026-12-18",
        "--set-with", "J41")  # fmt: skip
    chapter("Grain that runs round the corners, four times over")
    run("take", "--customer", "M. Tarn", "-p", "ASH-22", "-w", "7", "--height", "9",
        "--one-piece", "-n", "4", "--due", "2026-12-18")  # fmt: skip
    run("plan", "--profile", "ASH-22", "--until", "2026-12-18")


def workshop_settings() -> list[str]:
    """The workshop's settings, each SETTING=VALUE."""
    lines = (HERE / "workshop.csv").read_text(encoding="utf-8").splitlines()[1:]
    return [line.replace(",", "=", 1) for line in lines if line]


def what_goes_wrong(record: Path) -> tuple[int, SheetPiece, SheetPiece]:
    """The accepted plan, the piece on which a rail will be miscut, and the one with a split."""
    shop = open_shop(str(record), WHO)
    number = newest_plan(shop, ("accepted",))
    waiting = set(to_settle(shop, number))
    pieces = [piece for piece in sheet_of(shop, number).pieces if piece.number in waiting]
    several = [piece for piece in pieces if len(piece.rails) > 1]
    if len(several) < 2:
        raise DemoFault("the demo's plan has too few pieces", "please report this")
    return number, several[0], several[1]
