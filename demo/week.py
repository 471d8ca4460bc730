"""The week after that Monday: all of the trade that is no frame of four rails in one moulding."""

from pathlib import Path

from demo.runner import Runner, chapter
from stockroom.services.counter.job_list import newest_job
from stockroom.services.rack.pieces import find
from stockroom.services.saw.supplied import chops_awaited

__all__ = ["week"]

HERE = Path(__file__).parent
TUESDAY, WEDNESDAY, THURSDAY, FRIDAY, NEXT_MONDAY = (
    "2026-11-24", "2026-11-25", "2026-11-26", "2026-11-27", "2026-11-30")  # fmt: skip
ARRIVED = (("BOX-42", "X1", "3000 mm"), ("FLOAT-ASH-12", "W7", "2998 mm"),
           ("FIL-8", "F1", "2440 mm"), ("LEAF-GLD-45", "G9", "2x 2740 mm"),
           ("BAR-40", "S1", "2440 mm"))  # fmt: skip
RULE = "waste 20 %; mark-up 150 %; by ft; least 25; up to 0.50"


def week(record: Path) -> None:
    """Tuesday to the Monday after it."""
    tuesday(Runner(record, TUESDAY))
    wednesday(Runner(record, WEDNESDAY))
    marked(Runner(record, WEDNESDAY))
    thursday(Runner(record, THURSDAY))
    friday(Runner(record, FRIDAY))
    next_monday(Runner(record, NEXT_MONDAY))


def tuesday(run: Runner) -> None:
    """Frames in frames, and what is no frame of four, planned and cut together."""
    chapter("Tuesday: a float in a box; a liner round a mat with a fillet")
    run("load-profiles", str(HERE / "mouldings.csv"))
    for profile, batch, lengths in ARRIVED:
        run("receive", profile, batch, lengths, "--at", "D1")
    due = ("--due", TUESDAY)
    run("take", "--customer", "C. Voss", "--title", "Gale", "-p", "FLOAT-ASH-12", "-w", "16",
        "--height", "20", "--depth", "1 1/2", "--around", "BOX-42", *due)  # fmt: skip
    run("take", "--customer", "E. Underbarrow", "--title", "Wren", "-p", "ASH-14", "-w", "5",
        "--height", "7", "--mat", "2", "--fillet", "FIL-8", "--around", "LEAF-GLD-45",
        *due)  # fmt: skip
    chapter("A strainer with a bar, a hexagon, an arch's straight sides, a rail for a repair")
    run("take", "--customer", "C. Voss", "--title", "Gale", "-p", "BAR-40", "--shape",
        "strainer 1x0", "-w", "16", "--height", "20", *due)  # fmt: skip
    run("take", "--customer", "M. Tarn", "--title", "clock", "-p", "ASH-22", "--shape", "6 sides",
        "-w", "6", *due)  # fmt: skip
    run("take", "--customer", "M. Tarn", "--title", "chapel", "-p", "ASH-22", "--shape", "arch",
        "-w", "8", "--height", "10", *due)  # fmt: skip
    run("take", "--customer", "O. Brill", "--title", "an old frame", "-p", "LEAF-GLD-45",
        "--shape", "repair", "--lengths", "17 1/4", "--match", "G9", *due)  # fmt: skip
    chapter("All that is due is planned in one; a frame's mouldings are cut all or none")
    run("plan", "--until", TUESDAY, "--accept", "--seconds", "3")
    run("cut", "--as-planned")


def wednesday(run: Runner) -> None:
    """What leaves the shop outside any plan."""
    chapter("Wednesday: a length is sold, a corner goes to the wall, a bit is given away")
    run("receive", "MAPLE-18", "M3", "2740 mm", "--at", "D2")
    for length, left_as, why in (("24", "sold", "to O. Brill"), ("2x 4", "sample", "for the wall"),
                                 ("6", "gift", "for the school")):  # fmt: skip
        run("part-with", str(newest_piece(run, "MAPLE-18")), length, "--as", left_as, "--why", why)


def marked(run: Runner) -> None:
    """Sticks that are not for every rail or every job."""
    chapter("A bowed stick, a second, and a customer's own moulding, given back after its job")
    run("receive", "GREY-50", "H2", "3x 3000 mm", "--at", "D3")
    own = newest_piece(run, "GREY-50")
    run("mark", str(own - 2), "--longest", "18", "--why", "bowed")
    run("mark", str(own - 1), "--second", "--why", "the wash is uneven")
    run("mark", str(own), "--owner", "C. Voss", "--why", "brought along")
    asked = ("-p", "GREY-50", "--due", "2026-12-04")
    run("take", "--customer", "C. Voss", *asked, "-w", "10", "--height", "12", "--takes", "own")
    run("take", "--customer", "The Boat Shed", *asked, "-w", "20", "--height", "28", "--takes",
        "seconds")  # fmt: skip
    run("take", "--customer", "H. Wren", *asked, "-w", "9", "--height", "11")
    run("plan", "--profile", "GREY-50", "--until", "2026-12-04", "--accept")
    run("cut", "--as-planned")
    left = [piece.id for piece in find(run.shop(), "GREY-50") if piece.owner]
    run("give-back", *map(str, left), "--why", "what was left of it")
    chapter("Ornament that repeats: each rail begins at a motif, so that corners match")
    run("profile", "LEAF-CPR-28", "--set", "repeat=60 mm", "--why", "its run of leaves")
    run("receive", "LEAF-CPR-28", "K2", "2740 mm", "--at", "D3")
    run("mark", str(newest_piece(run, "LEAF-CPR-28")), "--motif", "1 1/2")
    run("take", "--customer", "O. Brill", "-p", "LEAF-CPR-28", "-w", "12", "--height", "16",
        "--due", "2026-12-04")  # fmt: skip
    run("plan", "--profile", "LEAF-CPR-28", "--until", "2026-12-04", "--accept")
    run("cut", "--as-planned")


def newest_piece(run: Runner, profile: str) -> int:
    """The piece of a profile that came to the rack last."""
    return max(piece.id for piece in find(run.shop(), profile))


def thursday(run: Runner) -> None:
    """The price rule, quotes, a hexagon from its quote to its chops."""
    chapter("Thursday: prices by the shop's rule, kept as quotes; one of them becomes a job")
    run("settings", "price_rule", RULE)
    run("settings", "quote_days", "3")
    run("moulding-price", "J41")
    asked = ("--customer", "O. Brill", "-p", "ASH-38", "--due", "2026-12-18")
    run("quote", *asked, "--title", "map", "-w", "30", "--height", "40")
    run("quote", *asked, "--title", "mirror", "--shape", "6 sides", "-w", "9")
    run("take-quote")
    chapter("Its rails come cut to size, two dented; then the others, and it comes joined")
    shop, mirror = run.shop(), newest_job(run.shop())
    (length,) = chops_awaited(shop, mirror)
    came = f"4x {shop.settings.length(length)}"
    run("supplied", mirror, "C4", "--came", came, "--why", "two are dented")
    run("supplied", mirror, "C4", "--joined")


def friday(run: Runner) -> None:
    """Many equal frames, told by lengths and counts."""
    chapter("Friday: a dozen equal frames are cut by lengths and counts")
    run("receive", "ASH-14", "N4", "8x 2438 mm", "--at", "D2")
    run("take", "--customer", "The Reading Room", "-p", "ASH-14", "-w", "4", "--height", "6",
        "-n", "12", "--due", "2026-12-01")  # fmt: skip
    run("plan", "--profile", "ASH-14", "--until", "2026-12-01", "--accept", "--seconds", "3")


def next_monday(run: Runner) -> None:
    """A quote gone stale."""
    chapter("The Monday after: a quote is stale, and is priced again")
    run("quotes")
    run("quote-again")
    chapter("And the record is true")
    run("audit")
