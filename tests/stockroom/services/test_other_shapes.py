"""Sticks of the same rack cut as other shapes than a frame, from the counter to the saw."""

from datetime import date
from pathlib import Path

import pytest

from stockroom.record.catalogue import add_profile
from stockroom.record.database import changing
from stockroom.record.tables import Profile
from stockroom.refusals import Refused, StockroomError
from stockroom.services.catalogue.save import save
from stockroom.services.counter.job_list import job_row
from stockroom.services.counter.make_ticket import bench_told, ticket_of
from stockroom.services.counter.take import Taken, take
from stockroom.services.counter.typed_jobs import change_told, job_told, take_file
from stockroom.services.morning.day_plan import accept, plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.rack.pieces import Arrival, receive
from stockroom.services.record.undo import undo
from stockroom.services.saw.bench_work import bench_work
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import CutDone, record_cut
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres
from stockroom.views.sheet import Part, Sheet, SheetPiece
from stockroom.views.sheet_rows import also_read
from stockroom.words.language import word

pytestmark = pytest.mark.parametrize("where", ["sqlite"], indirect=True)

FRIDAY = date(2026, 11, 27)
MM = 1_000
# Kerf 3.2 mm and clean-up 0.5 mm: 3.2 sqrt 2 = 4.5255, 2 * 3.2 = 6.4, and 3.2 square, computed.
MITRE, SIXTY, SQUARE = 5_026, 6_900, 3_700


@pytest.fixture
def bars(shop: Shop) -> Shop:
    """The shop with plain strainer bars of 40 mm."""
    with changing(shop.engine) as session:
        add_profile(session, Profile(
            code="BAR-40", supplier_code="LARK", name="bar", kind="plain", face_um=40_000,
            stick_length_um=2_400_000, keep_um=200_000, end_trim_um=10_000,
        ))  # fmt: skip
    return shop


def taken(shop: Shop, shape: str, profile: str = "ASH-22", **more: str) -> Taken:
    """A job of a shape."""
    return take(shop, job_told({"customer": "R. Aldous", "profile": profile, "shape": shape,
                                "due": "2026-11-27", **more}, shop))  # fmt: skip


def sticks(shop: Shop, profile: str, *lengths: int, batch: str = "B7") -> None:
    """Sticks of so many mm."""
    receive(shop, profile, batch, [Arrival(Micrometres(length * MM)) for length in lengths])


def planned(shop: Shop) -> Sheet:
    """Friday's plan, accepted."""
    sheet = plan_day(shop, Choices(FRIDAY))
    assert sheet.short == ()
    return accept(shop, sheet.plan or 0)


def read(piece: SheetPiece, rail: Part, shop: Shop) -> str:
    """What else is said of a rail."""
    return ", ".join(map(word, also_read(piece, rail, shop.settings)))


def cut(shop: Shop, sheet: Sheet) -> list[CutDone]:
    """All of a plan cut as planned."""
    return [record_cut(shop, SawReport(sheet.plan or 0, piece.number)) for piece in sheet.pieces]


def test_a_hexagon_waits_for_six_rails_is_cut_at_30_degrees_and_comes_undone(shop: Shop) -> None:
    sticks(shop, "ASH-22", 3_000)
    taken(shop, "6 sides", width="200")
    row, sizes = job_row(shop, "J1")
    assert (row.rails_waiting, row.shape) == (6, "6 sides")
    sheet = planned(shop)
    rails = sheet.pieces[0].rails
    # 220.209 mm, up to the half of a millimetre; inside 2 * 16 tan 30 = 18.475 less, rounded up.
    assert [rail.length for rail in rails] == [220_500] * 6
    assert read(sheet.pieces[0], rails[0], shop) == "inside 202, sight 195, ends 30°"
    (done,) = cut(shop, sheet)
    assert done.finished == ("J1",)
    # 10 of end trim, six rails, and six cuts of a blade that takes 3.2 / cos 30 = 3.696 mm.
    assert done.offcuts[0].length == 3_000 * MM - 10 * MM - 6 * (220_500 + 3_696 + 500)
    assert job_row(shop, "J1")[0].state == "cut"
    undo(shop, done.entry)
    assert job_row(shop, "J1")[0].rails_waiting == 6
    assert job_row(shop, "J1")[1] == sizes


def test_the_widest_cut_of_a_profiles_day_counts_for_all_of_it(bars: Shop) -> None:
    sticks(bars, "BAR-40", 2_400)
    taken(bars, "straight", "BAR-40", lengths="2x 500 / 400")
    alone = plan_day(bars, Choices(FRIDAY))
    assert alone.tally.saw == 3 * SQUARE
    taken(bars, "3 sides", "BAR-40", width="100")
    both = planned(bars)
    assert both.tally.saw == 6 * SIXTY
    (done,) = cut(bars, both)
    assert done.difference == 0
    assert done.offcuts[0].length == bench_work(bars, both.plan or 0).pieces[0].leftovers[0]


@pytest.mark.parametrize(("length", "short"), [(2_000, 1), (2_006, 0)])
def test_four_square_lengths_of_500_want_three_kerfs_more_than_2_m(
    bars: Shop, length: int, short: int
) -> None:
    # As in the published case of 2 ft out of 8 ft (slashgear.com/1866963); computed: 3 * 3.7 mm,
    # and the trims of both ends, less the last cut.
    sticks(bars, "BAR-40", length + 20 + 6)
    taken(bars, "straight", "BAR-40", lengths="4x 500")
    assert len(plan_day(bars, Choices(FRIDAY)).short) == short


def test_a_strainer_is_cut_with_its_bars_square_or_not_at_all(bars: Shop) -> None:
    sticks(bars, "BAR-40", 2_400)
    taken(bars, "strainer 1x0", "BAR-40", width="600", height="800")
    assert len(plan_day(bars, Choices(FRIDAY)).short) == 1
    sticks(bars, "BAR-40", 2_400)
    sheet = planned(bars)
    said = {rail.length: read(piece, rail, bars)
            for piece in sheet.pieces for rail in piece.rails}  # fmt: skip
    assert said == {800_000: "inside 720", 600_000: "inside 520", 520_000: "ends square"}
    first = sheet.pieces[0]
    # A rail miscut: what waits is four rails in no two pairs, and the next plan takes them.
    record_cut(bars, SawReport(sheet.plan or 0, first.number, miscut=frozenset({1})))
    for piece in sheet.pieces[1:]:
        record_cut(bars, SawReport(sheet.plan or 0, piece.number,
                                   uncut=frozenset(range(2, len(piece.rails) + 1))))  # fmt: skip
    assert job_row(bars, "J1")[0].state == "part cut"
    sticks(bars, "BAR-40", 2_400, 2_400)
    cut(bars, planned(bars))
    assert job_row(bars, "J1")[0].state == "cut"


def test_a_repair_matches_its_batch_although_another_has_an_offcut(shop: Shop) -> None:
    sticks(shop, "LEAF-40", 500, batch="NEW")
    sticks(shop, "LEAF-40", 3_000, batch="OLD")
    with pytest.raises(StockroomError, match="never had a batch 'older'; did you mean OLD"):
        taken(shop, "repair", "LEAF-40", lengths="440", match="older")
    taken(shop, "repair", "LEAF-40", lengths="440", match="old")
    row, (layer,) = job_row(shop, "J1")
    assert ticket_of(shop, "J1", bench_told({}, shop)).match == "OLD"
    assert (row.match, row.rails_waiting, layer.sizes.lengths_um) == ("OLD", 1, (440_000,))
    sheet = planned(shop)
    assert [piece.batch for piece in sheet.pieces] == ["OLD"]
    assert cut(shop, sheet)[0].finished == ("J1",)


def test_an_arch_and_what_is_told_by_its_outside_are_saved_and_read_back(
    shop: Shop, tmp_path: Path
) -> None:
    taken(shop, "arch", width="300", height="500")
    taken(shop, "outside", width="300", height="400")
    taken(shop, "repair", lengths="2x 440 / 300.5")
    # Each has a ticket with its own rails, and nothing of a repair is hung.
    made = [ticket_of(shop, f"J{number}", bench_told({"bevel": "2"}, shop)) for number in (1, 2, 3)]
    assert [len(one.sizes.lengths_um) for one in made] == [3, 4, 3]
    assert [one.hanging is None for one in made] == [True, False, True]
    save(shop, "jobs", tmp_path / "jobs.csv")
    before = [job_row(shop, f"J{number}")[1] for number in (1, 2, 3)]
    text = (tmp_path / "jobs.csv").read_text()
    (tmp_path / "again.csv").write_text("".join(
        line.replace(f",J{at},", ",,").replace(f",{at},", f",{at + 10},")
        for at, line in enumerate(text.splitlines(keepends=True))
    ))  # fmt: skip
    take_file(shop, tmp_path / "again.csv")
    assert [job_row(shop, f"J{number}")[1] for number in (11, 12, 13)] == before


def test_a_shape_changes_while_nothing_is_cut_and_not_after(shop: Shop) -> None:
    sticks(shop, "ASH-22", 3_000)
    taken(shop, "6 sides", width="200")
    assert change_told(shop, "J1", {"shape": "8 sides"}).sizes.shape.sides == 8
    assert job_row(shop, "J1")[0].rails_waiting == 8
    entry, _ = undo(shop)
    assert entry.kind == "change"
    assert job_row(shop, "J1")[0].rails_waiting == 6
    cut(shop, planned(shop))
    with pytest.raises(Refused, match="another shape has other ends"):
        change_told(shop, "J1", {"shape": "8 sides"})
    # A larger side: the rails that were cut go back on the rack, and six wait again.
    assert change_told(shop, "J1", {"width": "210"}).scrapped == 6
    assert job_row(shop, "J1")[0].rails_waiting == 6


@pytest.mark.parametrize(
    ("shape", "told", "said"),
    [
        ("repair", {"width": "400"}, "takes no width"),
        ("6 sides", {"width": "400", "height": "400"}, "takes no height"),
        ("straight", {"lengths": "61x 400"}, "1 to 60 lengths"),
        ("straight", {"lengths": ""}, "needs its lengths"),
        ("6 sides", {"width": "200", "mat": "50"}, "a mat is cut to a frame of four"),
        ("repair", {"lengths": "2990"}, "longer than any stick"),
    ],
)
def test_what_a_shape_does_not_take_is_refused(
    shop: Shop, shape: str, told: dict[str, str], said: str
) -> None:
    with pytest.raises(StockroomError, match=said):
        taken(shop, shape, **told)
