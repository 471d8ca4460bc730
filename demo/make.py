"""Makes the invented workshop's rack, its week of jobs and the year before, always the same.

``python -m demo.make`` writes them.

All of it is invented; the files beside this module are what it wrote, and a test makes them again.
"""

import csv
import io
import random
from datetime import date, timedelta
from pathlib import Path

from seeds import csv_path

__all__ = ["FILES", "jobs_csv", "past_csv", "rack_csv"]

SEED = 20_261_123
MONDAY = date(2026, 11, 23)
Row = dict[str, str]

SURNAMES = (
    "Aldous", "Brannoch", "Cresswold", "Dunmere", "Ellory", "Farrowby", "Gossamer", "Hythe",
    "Inchbold", "Jessamy", "Kelloway", "Lindqvale", "Merrowin", "Norrish", "Oxenby", "Penhallis",
    "Quenby", "Rushmoor", "Sallowfield", "Tamsin", "Underbarrow",
    "Vesperley", "Wintergill", "Yarrow",
)  # fmt: skip
TITLES = (
    "Harbour at dusk", "Blue jug", "Study of hands", "Two herons", "The weir", "Orchard, March",
    "Red roofs", "Seed heads", "Night ferry", "Portrait of a baker", "Salt marsh", "Kitchen table",
    "Map of the valley", "Rain on slate", "Still life with pears", "The quarry", "Winter hedge",
    "Swimmers", "Old lime kiln", "Letters home",
)  # fmt: skip
CANVAS = (("16", "20"), ("18", "24"), ("20", "24"), ("12", "16"), ("24", "36"), ("11", "14"),
          ("30", "40"), ("8", "10"), ("600 mm", "800 mm"), ("14", "18"))  # fmt: skip
ODD = ("", " 1/16", " 1/8", " 3/16", " 1/4")
PAPER = (("8 1/2", "11"), ("297 mm", "420 mm"), ("11", "14"), ("210 mm", "297 mm"), ("9", "12"))
PLAIN = ("ASH-22", "PINE-20", "ASH-14", "MAPLE-18", "BASS-25", "ASH-38", "GREY-20", "STAIN-24",
         "PAINT-WHT-18", "PAINT-BLK-18", "LEAF-SIL-16", "LEAF-GLD-20", "LEAF-SIL-32")  # fmt: skip
FLOATS = ("FLOAT-ASH-12", "FLOAT-BLK-16", "FLOAT-WAL-12", "FLOAT-ASH-8", "FLOAT-BLK-10",
          "FLOAT-WHT-10")  # fmt: skip

A_YEAR = {
    "PINE-20": 90, "ASH-22": 75, "PAINT-BLK-18": 60, "FLOAT-BLK-10": 54, "PAINT-WHT-18": 42,
    "FLOAT-WHT-10": 75, "MAPLE-18": 32, "LEAF-GLD-20": 26, "ASH-38": 22, "FLOAT-WAL-12": 22,
    "BASS-25": 20, "FLOAT-BLK-16": 18, "FLOAT-ASH-12": 16, "STAIN-24": 15, "FLOAT-ASH-8": 13,
    "LEAF-SIL-32": 12, "GREY-20": 11, "ASH-14": 10, "LEAF-SIL-16": 7, "PINE-45": 5,
    "MAPLE-30": 4, "LEAF-GLD-45": 4, "STAIN-34": 15, "GREY-50": 2, "LEAF-CPR-28": 2,
    "PAINT-BLU-30": 1,
}  # fmt: skip
"""Jobs of the year before, about, by profile."""
STOPPED, STOPPED_ON = "STAIN-34", date(2026, 6, 1)
GREW, GREW_ON, TIMES = "FLOAT-WHT-10", date(2026, 9, 7), 3


def profiles() -> list[Row]:
    """The starter catalogue's profiles."""
    with csv_path("profiles").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def written(rows: list[Row]) -> str:
    """Rows as CSV text."""
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def rack_csv() -> str:
    """About 120 pieces: sticks of real lengths, and offcuts, some with a flaw."""
    rng = random.Random(SEED)
    rows: list[Row] = []
    for bay, profile in enumerate(profiles()):
        busy = profile["code"] in PLAIN or profile["code"] in FLOATS
        letter = "ABCDEF"[bay // 5]
        for kind in ["stick"] * rng.choice((1, 2, 2) if busy else (0, 1)) + ["offcut"] * (
            rng.choice((3, 4, 5)) if busy else rng.choice((0, 1, 2))
        ):
            rows.append(piece(rng, profile, kind, letter, bay % 5 + 1))
    rows += [two_batches("G7", 1450), two_batches("G9", 1210)]
    for number, row in enumerate(rows, 1):
        row["id"] = str(number)
    return written(rows)


def piece(rng: random.Random, profile: Row, kind: str, letter: str, shelf: int) -> Row:
    """One stick or offcut of a profile."""
    nominal = int(profile["stick_length"].split()[0])
    if kind == "stick":
        length = nominal + rng.randrange(-6, 9)
    else:
        length = rng.randrange(int(profile["shortest_kept"].split()[0]), nominal * 7 // 10)
    flaw = ""
    if kind == "offcut" and rng.random() < 0.08 and length > 600:
        at = rng.randrange(150, length - 200)
        flaw = f"{at} mm..{at + rng.randrange(8, 30)} mm"
    since = MONDAY - timedelta(days=rng.randrange(3, 200))
    return {
        "id": "", "profile": profile["code"],
        "batch": f"{profile['supplier'][0]}{rng.randrange(3) + 4}",
        "kind": kind, "length": f"{length}.{rng.choice('05')} mm", "place": f"{letter}{shelf}",
        "since": since.isoformat(), "flaws": flaw, "note": "",
    }  # fmt: skip


def two_batches(batch: str, length: int) -> Row:
    """An offcut of the wide gold leaf, in a batch that has no other piece."""
    return {"id": "", "profile": "LEAF-GLD-45", "batch": batch, "kind": "offcut",
            "length": f"{length} mm", "place": "E2", "since": "2026-08-17", "flaws": "",
            "note": "label torn"}  # fmt: skip


def jobs_csv() -> str:
    """A week of about 40 jobs: floated canvases, rabbeted ones, works on paper."""
    rng = random.Random(SEED + 1)
    rows = [job(rng, number) for number in range(38)]
    rows.append(told("L. Oxenby", "The long table", "LEAF-GLD-45", "20", "24", "2026-11-23",
                     one_batch="yes", note="matches the pair from spring"))  # fmt: skip
    rows.append(told("Gull Lane School", "Class prints", "PINE-20", "8", "10", "2026-11-27",
                     quantity="12"))  # fmt: skip
    return written(sorted(rows, key=lambda row: row["due"]))


def job(rng: random.Random, number: int) -> Row:
    """One job of the week."""
    customer = f"{rng.choice('ABCDEFGHJKLMNPRSTW')}. {rng.choice(SURNAMES)}"
    title = TITLES[number % len(TITLES)]
    due = (MONDAY + timedelta(days=number * 6 // 38)).isoformat()
    sort = rng.choice(("float", "float", "canvas", "canvas", "paper"))
    if sort == "float":
        width, height = rng.choice(CANVAS)
        readings = width if "mm" in width else f"{width} / {width}{rng.choice(ODD)} / {width}"
        profile = rng.choice(FLOATS)
        deep = profile in ("FLOAT-ASH-12", "FLOAT-BLK-16", "FLOAT-WAL-12")
        return told(
            customer, title, profile, readings, height, due, depth="1 1/2" if deep else "7/8"
        )
    quantity = rng.choice(("1", "1", "1", "1", "2", "3"))
    if sort == "canvas":
        width, height = rng.choice(CANVAS)
        return told(customer, title, rng.choice(PLAIN), width, height, due, quantity=quantity)
    width, height = rng.choice(PAPER)
    return told(customer, title, rng.choice(PLAIN), width, height, due, quantity=quantity,
                mat="2 1/2 / 2 1/2 / 2 1/2 / 3", overlap="1/4", depth="3/8")  # fmt: skip


def told(
    customer: str, title: str, profile: str, width: str, height: str, due: str, **more: str
) -> Row:
    """A job as the counter's list has it."""
    row = dict.fromkeys(("customer", "title", "profile", "width", "height", "depth", "mat",
                         "overlap", "due", "quantity", "one_batch", "note"), "")  # fmt: skip
    row |= {"customer": customer, "title": title, "profile": profile, "width": width,
            "height": height, "due": due, "quantity": "1"}  # fmt: skip
    return row | more


def past_csv() -> str:
    """The year before, from the shop's old book: one profile stopped, one was asked for more."""
    rng = random.Random(SEED + 2)
    rows: list[Row] = []
    for profile, jobs in A_YEAR.items():
        for back in range(1, 365):
            day = MONDAY - timedelta(days=back)
            pace = jobs * (TIMES if profile == GREW and day >= GREW_ON else 1)
            open_day = day.weekday() < 6 and not (profile == STOPPED and day >= STOPPED_ON)
            if open_day and rng.random() < pace / 312:
                rows.append(past_job(rng, profile, day))
    return written(sorted(rows, key=lambda row: (row["day"], row["profile"])))


def past_job(rng: random.Random, profile: str, day: date) -> Row:
    """One job of the old book: a size as the week's jobs have, mostly one frame."""
    width, height = rng.choice(CANVAS)
    return {"day": day.isoformat(), "profile": profile, "width": width, "height": height,
            "quantity": rng.choice("11111112")}  # fmt: skip


FILES = {"rack.csv": rack_csv, "jobs.csv": jobs_csv, "past.csv": past_csv}


if __name__ == "__main__":
    for name, make in FILES.items():
        (Path(__file__).parent / name).write_text(make(), encoding="utf-8")
