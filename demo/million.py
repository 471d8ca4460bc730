"""A shop of a million entries beside a young one: what each thing takes, as ratios in one run.

``python -m demo.million [URL]`` makes both records and times the same work on them, in files, and
in the empty database on a server that a URL names. Years of work are written in bulk.
"""

import sys
import tempfile
from datetime import date
from pathlib import Path

from sqlmodel import Session, SQLModel

from demo.years_of_work import ORDER, PRICE, STICK, TRIM, RecordSize, Rows, Years, code_of
from stockroom.record.database import changing
from stockroom.record.databases.server import put_rows, take_time
from stockroom.record.seal import seal_anew, with_defaults
from stockroom.record.tables import Profile, Supplier
from stockroom.services.shop import Shop, set_up

__all__ = ["MONDAY", "RecordSize", "code_of", "made"]

MONDAY = date(2026, 11, 23)


def made(where: str, size: RecordSize) -> Shop:
    """A shop of this size, made new at a file or URL."""
    shop = set_up(where, "marn", {"unit": "mm", "clean_up": "0.5"}, MONDAY)
    with changing(shop.engine) as session:
        take_time(session.connection())
        session.add(Supplier(code="LARK", name="Lark Hollow Mouldings"))
        session.flush()
        for number in range(size.profiles):
            session.add(profile_of(number))
        session.flush()
        years = Years(size)
        write(session, years.stocked())
        for rows in years.worked():
            write(session, rows)
        seal_anew(session)
    if shop.engine.dialect.name == "postgresql":
        with shop.engine.connect() as connection:
            connection.execution_options(isolation_level="AUTOCOMMIT")
            # Else the server does it meanwhile, and what that takes is counted with the work.
            connection.exec_driver_sql("VACUUM ANALYZE")
    return shop


def profile_of(number: int) -> Profile:
    """One of many profiles, all alike."""
    return Profile(
        code=code_of(number), supplier_code="LARK", name=f"ash {number}", kind="rabbeted",
        face_um=22_000, rabbet_width_um=6_000, rabbet_depth_um=14_000, stick_length_um=STICK,
        keep_um=300_000, end_trim_um=TRIM, stick_price_minor=PRICE, minimum_sticks=2,
    )  # fmt: skip


def write(session: Session, rows: Rows) -> None:
    """Writes rows in bulk, those that others point to first."""
    for table in ORDER:
        if rows.get(table):
            known = SQLModel.metadata.tables[str(table.__tablename__)]
            put_rows(session.connection(), known, with_defaults(table, rows[table]))


if __name__ == "__main__":
    from demo.million_timed import main

    with tempfile.TemporaryDirectory(prefix="stockroom-million-") as folder:
        sys.exit(main(Path(folder), sys.argv[1:]))
