"""The week's list of a large catalogue, by processor time.

``python -m demo.week_timed`` reckons the list of 60 profiles, each with two years of jobs behind
it, and prints the seconds of the processor that it took.
"""

import time
from datetime import timedelta
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from demo.workshop import MONDAY, make_workshop
from stockroom.record.database import changing
from stockroom.record.tables import Profile
from stockroom.services.catalogue.load import profile_rows
from stockroom.services.past.old_book import load_past
from stockroom.services.shop import Shop
from stockroom.services.weekly.review import review_week

__all__ = ["large_shop"]

PROFILES, WEEKS = 60, 104
SIZES = ("8,10", "11,14", "16,20", "18,24", "24,36")


def large_shop(folder: Path, profiles: int = PROFILES) -> Shop:
    """The invented workshop with so many profiles, and a past of two years for each."""
    shop, luck = make_workshop(folder / "shop.db"), Random("a large catalogue")
    codes = [one.code for one in profile_rows(shop)]
    with changing(shop.engine) as session:
        for number in range(profiles - len(codes)):
            like = session.get_one(Profile, codes[number % len(codes)])
            session.add(Profile(**{**like.model_dump(), "code": f"{like.code}-{number}"}))
            codes.append(f"{like.code}-{number}")
    rows = ["day,profile,width,height"]
    for back in range(7 * WEEKS, 0, -1):
        day = MONDAY - timedelta(back)
        rows += [f"{day},{code},{luck.choice(SIZES)}" for code in codes if luck.random() < 0.1]
    book = folder / "past.csv"
    book.write_text("\n".join(rows) + "\n", encoding="utf-8")
    load_past(shop, book)
    return shop


def main() -> None:
    """Times the list."""
    with TemporaryDirectory() as folder:
        shop = large_shop(Path(folder))
        began = time.process_time()
        lines = review_week(shop).lines
        print(f"{len(profile_rows(shop))} profiles, {len(lines)} lines: "
              f"{time.process_time() - began:.1f} s of the processor")  # fmt: skip


if __name__ == "__main__":
    main()
