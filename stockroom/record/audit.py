"""The audit: proves the record from its entries, and lists each fault with expected and found."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import starmap

from sqlalchemy import text
from sqlmodel import Session

from stockroom.facts import Fact
from stockroom.record.databases.known_kinds import kind_of
from stockroom.record.row_text import strange_cells
from stockroom.record.seal import broken_seals

__all__ = ["Violation", "audit", "unbalanced"]


@dataclass(frozen=True, slots=True)
class Violation:
    """A fault of the record: what it is about, what was expected, what was found.

    Lengths are micrometres, else counts; ``difference`` is found less expected.
    """

    about: str
    rule: str | Fact
    expected: int
    found: int

    @property
    def difference(self) -> int:
        """Found less expected."""
        return self.found - self.expected

    @property
    def told(self) -> Fact:
        """The fault, to be told."""
        rule = Fact(self.rule) if isinstance(self.rule, str) else self.rule
        return Fact("audit_fault", {"about": self.about, "rule": rule, "expected": self.expected,
                                    "found": self.found, "more": self.difference})  # fmt: skip


def audit(session: Session) -> list[Violation]:
    """All faults of the record; none where it is true.

    What was edited, or does not add up, is not looked for among cells that are no numbers.
    """
    strange = list(of_their_kinds(session))
    checks = (sound,) if strange else (sound, unbroken, *BALANCES)
    return strange + [violation for check in checks for violation in check(session)]


def unbalanced(session: Session) -> list[Violation]:
    """What does not add up; the file and its seals are not looked at."""
    return [violation for check in BALANCES for violation in check(session)]


Row = tuple[str, int, int]


def asked(rule: str, query: str) -> Callable[[Session], Iterator[Violation]]:
    """A check by a query that gives (about, expected, found) for each fault."""

    def check(session: Session) -> Iterator[Violation]:
        connection = session.connection()
        listed = kind_of(connection).rail_in_list
        for about, expected, found in connection.execute(text(query.replace(LISTED, listed))):
            yield Violation(str(about), rule, int(expected or 0), int(found or 0))

    return check


def sound(session: Session) -> Iterator[Violation]:
    """SQLite's own check of the whole file; a server checks what it reads by itself."""
    connection = session.connection()
    if connection.dialect.name == "sqlite":
        # Names and types that no longer read as text it passes by, and nothing can be copied.
        connection.execute(text("SELECT sql FROM sqlite_master")).all()
        for (said,) in connection.execute(text("PRAGMA integrity_check(20)")):
            if said != "ok":
                yield Violation("the file", Fact("file_fits_together", {"said": said}), 0, 1)


def of_their_kinds(session: Session) -> Iterator[Violation]:
    """A file of SQLite takes a text in place of a number or a day."""
    for name, found in strange_cells(session):
        yield Violation(f"table {name}", "each cell is of its column's kind", 0, found)


def unbroken(session: Session) -> Iterator[Violation]:
    """The seals of entries and tables show what was edited by hand."""
    return starmap(Violation, broken_seals(session))


NEVER_BELOW = {
    "supplier": ("code", {"lead_days": 0, "delivery_day": 0, "order_minimum_minor": 0,
                          "carriage_minor": 0, "free_carriage_minor": 0, "cut_percent": 0,
                          "cut_fee_minor": 0, "cut_minimum_minor": 0}),
    "profile": ("code", {"rabbet_width_um": 0, "rabbet_depth_um": 0, "wall_um": 0,
                         "recess_depth_um": 0, "height_um": 0, "stick_price_minor": 0,
                         "metre_price_minor": 0, "box_sticks": 1, "last_sticks": 0}),
    "job": ("id", {"depth_um": 0, "gap_um": 0, "allowance_um": 0, "mat_overlap_um": 0}),
    "purchaseline": ("id", {"price_minor": 0}),
    "receipt": ("piece_id", {"price_minor": 0}),
}  # fmt: skip
"""What nobody can type lower; an edit by hand or another program's export may hold it."""
TYPED = " UNION ALL ".join(
    f"SELECT '{table} ' || {key} || ' {column}', {least}, {column} FROM {table} "
    f"WHERE {column} < {least}"
    for table, (key, columns) in NEVER_BELOW.items()
    for column, least in columns.items()
)

LISTED = "[rail of the list]"
"""A rail in its frame's list, as a kind of database says it."""
LENGTH = f"""COALESCE(CAST({LISTED} AS BIGINT),
  CASE WHEN r.rail IN (0, 2) THEN f.across_um ELSE f.upright_um END)"""
"""The length of a rail r of a frame f: in its list where it has one, else its pair's."""
MANY = "COALESCE(json_array_length(f.rails_um), 4)"
"""How many rails a frame f has."""

SETS_BATCH = """SELECT id FROM entry WHERE kind = 'batch' UNION
  SELECT u.id FROM entry u JOIN entry e ON e.id = u.reverses WHERE e.kind = 'batch'"""

BALANCES = (
    asked("a stored number is one that can be typed", TYPED),
    asked(
        "a delivery comes on a day of the week",
        "SELECT 'supplier ' || code, 6, delivery_day FROM supplier WHERE delivery_day > 6",
    ),
    asked(
        "the lines of an entry sum to zero for each profile and batch",
        f"""SELECT 'entry ' || entry_id, 0, SUM(length_um) FROM line
        WHERE entry_id NOT IN ({SETS_BATCH})
        GROUP BY entry_id, profile_code, batch_code HAVING SUM(length_um) <> 0""",
    ),
    asked(
        "an entry that sets a batch right moves nothing else",
        f"""SELECT 'entry ' || entry_id, 0, SUM(length_um) FROM line
        WHERE entry_id IN ({SETS_BATCH})
        GROUP BY entry_id, profile_code, place, piece_id, frame_id, rail
        HAVING SUM(length_um) <> 0""",
    ),
    asked(
        "a piece that left the rack holds nothing",
        """SELECT 'piece ' || p.id, 0, SUM(l.length_um) FROM piece p
        JOIN line l ON l.piece_id = p.id WHERE p.left_in IS NOT NULL
        GROUP BY p.id HAVING SUM(l.length_um) <> 0""",
    ),
    asked(
        "a piece on the rack holds something",
        """SELECT 'piece ' || p.id, 1, COALESCE(SUM(l.length_um), 0) FROM piece p
        LEFT JOIN line l ON l.piece_id = p.id WHERE p.left_in IS NULL
        GROUP BY p.id HAVING COALESCE(SUM(l.length_um), 0) <= 0""",
    ),
    asked(
        "a piece is of its lines' profile and batch",
        """SELECT 'piece ' || p.id, 0, COUNT(*) FROM piece p JOIN line l ON l.piece_id = p.id
        WHERE l.profile_code <> p.profile_code OR (l.batch_code <> p.batch_code AND NOT EXISTS (
          SELECT 1 FROM touch t JOIN entry e ON e.id = t.entry_id WHERE t.what = 'piece'
          AND t.which = CAST(p.id AS VARCHAR) AND e.kind = 'batch')) GROUP BY p.id""",
    ),
    asked(
        "a piece whose batch was set right is of no other",
        """SELECT 'piece ' || p.id, 0, SUM(l.length_um) FROM piece p
        JOIN line l ON l.piece_id = p.id WHERE l.batch_code <> p.batch_code
        GROUP BY p.id, l.batch_code HAVING SUM(l.length_um) <> 0""",
    ),
    asked(
        "nothing happens to a piece after it left the rack",
        """SELECT 'piece ' || p.id, 0, COUNT(*) FROM piece p JOIN line l ON l.piece_id = p.id
        WHERE p.left_in IS NOT NULL AND l.entry_id > p.left_in GROUP BY p.id""",
    ),
    asked(
        "a piece leaves and comes in an entry that moves it",
        """SELECT 'piece ' || p.id, 1, 0 FROM piece p WHERE NOT EXISTS (
          SELECT 1 FROM line l WHERE l.piece_id = p.id AND l.entry_id = p.came_in)
        OR p.left_in <= p.came_in OR (p.left_in IS NOT NULL AND NOT EXISTS (
          SELECT 1 FROM line l WHERE l.piece_id = p.id AND l.entry_id = p.left_in))""",
    ),
    asked(
        "a piece is held by one plan at most",
        """SELECT 'piece ' || piece_id, 1, COUNT(*) FROM planpiece WHERE settled_in IS NULL
        GROUP BY piece_id HAVING COUNT(*) > 1""",
    ),
    asked(
        "a piece that a plan holds is on the rack",
        """SELECT 'piece ' || p.id, 1, 0 FROM planpiece h JOIN piece p ON p.id = h.piece_id
        WHERE h.settled_in IS NULL AND p.left_in IS NOT NULL""",
    ),
    asked(
        "a plan that is finished or let go holds nothing",
        """SELECT 'plan ' || p.id, 0, COUNT(*) FROM plan p JOIN planpiece h ON h.plan_id = p.id
        WHERE h.settled_in IS NULL AND p.state <> 'accepted' GROUP BY p.id""",
    ),
    asked(
        "a rail is planned from a piece that its plan holds",
        """SELECT 'plan ' || r.plan_id, 1, 0 FROM planrail r
        JOIN planpiece h ON h.plan_id = r.plan_id AND h.piece_id = r.piece_id
        WHERE r.settled_in IS NULL AND h.settled_in IS NOT NULL""",
    ),
    asked(
        "an accepted plan still holds something",
        """SELECT 'plan ' || p.id, 1, 0 FROM plan p WHERE p.state = 'accepted' AND NOT EXISTS (
          SELECT 1 FROM planpiece h WHERE h.plan_id = p.id AND h.settled_in IS NULL)""",
    ),
    asked(
        "a rail is planned for a frame that stands and waits, at the frame's length",
        f"""SELECT 'frame ' || f.id || ' rail ' || r.rail, {LENGTH}, r.length_um
        FROM planrail r JOIN frame f ON f.id = r.frame_id WHERE r.settled_in IS NULL AND (
          f.dropped_in IS NOT NULL OR f.done_in IS NOT NULL OR r.length_um <> {LENGTH}
          OR r.rail >= {MANY})""",
    ),
    asked(
        "a rail of a frame is planned once at most, and not when it is cut",
        """SELECT 'frame ' || r.frame_id || ' rail ' || r.rail, 1, 1 + COUNT(l.id)
        FROM planrail r LEFT JOIN line l ON l.frame_id = r.frame_id AND l.rail = r.rail
        WHERE r.settled_in IS NULL GROUP BY r.frame_id, r.rail
        HAVING COALESCE(SUM(l.length_um), 0) <> 0 OR COUNT(DISTINCT r.id) > 1""",
    ),
    asked(
        "a rail of a frame is cut once, at its length",
        f"""SELECT 'frame ' || f.id || ' rail ' || r.rail, {LENGTH}, r.cut FROM (
          SELECT frame_id, rail, SUM(length_um) AS cut FROM line WHERE frame_id IS NOT NULL
          GROUP BY frame_id, rail HAVING SUM(length_um) <> 0) AS r
        JOIN frame f ON f.id = r.frame_id WHERE r.cut <> {LENGTH} OR r.rail >= {MANY}""",
    ),
    asked(
        "a frame is done when all its rails are cut, and only then",
        f"""SELECT 'frame ' || f.id, {MANY} - CASE WHEN f.done_in IS NULL THEN 1 ELSE 0 END, n.cut
        FROM frame f LEFT JOIN (
          SELECT frame_id, COUNT(*) AS cut FROM (
            SELECT frame_id, rail FROM line WHERE frame_id IS NOT NULL
            GROUP BY frame_id, rail HAVING SUM(length_um) > 0) AS rails
          GROUP BY frame_id) AS n ON n.frame_id = f.id
        WHERE (f.done_in IS NOT NULL AND COALESCE(n.cut, 0) <> {MANY})
           OR (f.done_in IS NULL AND COALESCE(n.cut, 0) = {MANY})""",
    ),
    asked(
        "a flaw lies inside its piece",
        """SELECT 'piece ' || f.piece_id, MAX(f.end_um), s.held FROM flaw f JOIN (
          SELECT l.piece_id, SUM(l.length_um) AS held FROM line l JOIN piece p ON p.id = l.piece_id
          WHERE p.left_in IS NULL GROUP BY l.piece_id) AS s ON s.piece_id = f.piece_id
        WHERE f.lifted_in IS NULL GROUP BY f.piece_id, s.held HAVING MAX(f.end_um) > s.held""",
    ),
    asked(
        "an undone entry and its undoing cancel out, place by place",
        """SELECT 'entry ' || u.undoing, 0, SUM(u.length_um) FROM (
          SELECT e.id AS undoing, l.* FROM entry e JOIN line l ON l.entry_id = e.id
            WHERE e.reverses IS NOT NULL
          UNION ALL
          SELECT e.id AS undoing, l.* FROM entry e JOIN line l ON l.entry_id = e.reverses) AS u
        GROUP BY u.undoing, place, cause, profile_code, batch_code, piece_id, frame_id, rail
        HAVING SUM(u.length_um) <> 0""",
    ),
    asked(
        "an entry that moves a piece is filed under it",
        """SELECT 'entry ' || l.entry_id, 1, 0 FROM line l WHERE l.piece_id IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM touch t WHERE t.entry_id = l.entry_id
          AND t.what = 'piece' AND t.which = CAST(l.piece_id AS VARCHAR))""",
    ),
    asked(
        "a piece received on an order came then, of its line's profile",
        """SELECT 'piece ' || r.piece_id, 1, 0 FROM receipt r
        JOIN piece p ON p.id = r.piece_id JOIN purchaseline l ON l.id = r.line_id
        JOIN purchase o ON o.id = l.purchase_id
        WHERE p.came_in <> r.received_in OR p.profile_code <> l.profile_code
        OR (r.lifted_in IS NOT NULL AND p.left_in IS NULL)
        OR (r.lifted_in IS NULL AND (o.placed_in IS NULL OR o.state IN ('draft', 'cancelled')))""",
    ),
    asked(
        "an order's state is that of its entries, and a placed one waits for something",
        """SELECT 'order ' || o.id, 1, 0 FROM purchase o
        WHERE (o.state IN ('placed', 'received') AND o.placed_in IS NULL)
        OR (o.state = 'draft' AND o.placed_in IS NOT NULL)
        OR (o.state IN ('received', 'cancelled')) <> (o.closed_in IS NOT NULL)
        OR (o.state = 'placed' AND NOT EXISTS (
          SELECT 1 FROM purchaseline l WHERE l.purchase_id = o.id AND l.sticks > (
            SELECT COUNT(*) FROM receipt r WHERE r.line_id = l.id AND r.lifted_in IS NULL)))""",
    ),
    asked(
        "every micrometre that came is on the rack, in rails, in cutting loss, in scrap, or named",
        "SELECT 'all places', 0, SUM(length_um) FROM line HAVING SUM(length_um) <> 0",
    ),
    asked(
        "no entry is missing",
        "SELECT 'entries', MAX(id), COUNT(*) FROM entry HAVING MAX(id) <> COUNT(*)",
    ),
    asked(
        "no line is missing",
        "SELECT 'lines', MAX(id), COUNT(*) FROM line HAVING MAX(id) <> COUNT(*)",
    ),
)
