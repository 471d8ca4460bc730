"""How long files take to load, by processor time: ``python -m demo.load_timed [ROWS]``.

A rack and a list of jobs of so many rows each (20,000 unless told) go into a new shop.
"""

import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path

from demo.million import RecordSize, made
from stockroom.services.counter.typed_jobs import take_file
from stockroom.services.rack.rack_file import load_rack
from stockroom.services.shop import Shop

__all__ = ["main", "timed"]

LIMITS = {20_000: 10.0, 100_000: 60.0}
"""Seconds of the processor that so many rows may take."""


def pieces(rows: int) -> Iterable[str]:
    """A rack as lines of a file: sticks and offcuts in fifty batches, some flawed."""
    yield "profile,batch,kind,length,place,flaws"
    for row in range(rows):
        kind, flaw = ("stick" if row % 3 else "offcut"), ("100..110" if row % 7 == 0 else "")
        yield f"M-000,B{row % 50},{kind},{1000 + row % 2000} mm,A{row % 40},{flaw}"


def jobs(rows: int) -> Iterable[str]:
    """Jobs as a file's lines, each of one frame."""
    yield "customer,profile,width,height,due,note"
    for row in range(rows):
        yield (f"customer {row},M-000,{300 + row % 500},{400 + row % 300},"
               f"2026-12-{1 + row % 28:02d},note {row}")  # fmt: skip


FILES: dict[str, tuple[Callable[[int], Iterable[str]], Callable[[Shop, Path], object]]] = {
    "pieces": (pieces, load_rack), "jobs": (jobs, take_file),
}  # fmt: skip


def timed(folder: Path, rows: int) -> dict[str, float]:
    """Seconds of the processor that each file takes."""
    shop = made(str(folder / "shop.db"), RecordSize(100, 1))
    seconds = {}
    for name, (lines, load) in FILES.items():
        path = folder / f"{name}.csv"
        path.write_text("\n".join(lines(rows)) + "\n")
        begun = time.process_time()
        load(shop, path)
        seconds[name] = time.process_time() - begun
    return seconds


def main(rows: int) -> int:
    """Prints what each file takes; 1 where it is more than it may."""
    with tempfile.TemporaryDirectory(prefix="stockroom-load-") as folder:
        found = timed(Path(folder), rows)
    for name, seconds in found.items():
        print(f"{rows:,} {name}: {seconds:.1f} s of the processor")
    return int(max(found.values()) > LIMITS.get(rows, float("inf")))


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000))
