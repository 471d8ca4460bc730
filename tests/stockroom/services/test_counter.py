"""The counter: jobs taken in, changed, held and cancelled; each on both databases."""

from datetime import date
from pathlib import Path

import pytest

from stockroom.refusals import BadFile, Clash, Refused, Unknown, Unreadable
from stockroom.services.counter import amend as amending
from stockroom.services.counter import take as counter
from stockroom.services.counter.job_list import job_row, job_rows, jobs_found
from stockroom.services.counter.typed_jobs import change_told, job_told, take_file
from stockroom.services.shop import Shop

DUE = "2026-11-27"


def told(shop: Shop, **more: object) -> counter.NewJob:
    """A job of one canvas in plain ash, with what differs."""
    usual = {"customer": "R. Aldous", "profile": "ash-22", "width": "500", "height": "400"}
    return job_told({**usual, "due": DUE, **more}, shop)


def test_a_job_taken_in_shows_its_sizes_and_waits_for_four_rails(shop: Shop) -> None:
    taken = counter.take(shop, told(shop))
    assert taken.sizes.rails_um == (535_000, 435_000)
    row, (layer,) = job_row(shop, "J1")
    sizes = layer.sizes
    assert (row.state, row.rails_waiting, row.across, row.upright) == ("open", 4, 535_000, 435_000)
    assert sizes == taken.sizes


def test_the_largest_of_three_readings_counts(shop: Shop) -> None:
    taken = counter.take(shop, told(shop, width="500 / 501.5 / 499", height="400 / 402"))
    assert taken.sizes.artwork_um == (501_500, 402_000)


@pytest.mark.parametrize("width", ["500/501.5/499", "500 /501.5/ 499 mm", "500;501.5;499"])
def test_readings_in_metric_need_no_space_at_the_slash(shop: Shop, width: str) -> None:
    taken = counter.take(shop, told(shop, width=width, height="15 3/4 in / 15 3/4 in"))
    assert taken.sizes.artwork_um == (501_500, 400_050)


def test_a_slash_of_inches_without_spaces_is_a_fraction_s(shop: Shop) -> None:
    with pytest.raises(Unreadable, match="15 3/4/16"):
        counter.take(shop, told(shop, height="15 3/4/16 in"))


def test_jobs_are_found_by_number_and_by_a_part_of_name_title_or_profile_in_any_case(
    shop: Shop,
) -> None:
    for customer, title in (("Åsa Öberg", "100% wool"), ("R. Aldous", "")):
        counter.take(shop, told(shop, customer=customer, title=title))
    for wanted, numbers in (
        ("åsa ö", [1]), ("ALDOUS", [2]), ("0% w", [1]), ("1_0", []), ("ash-", [2, 1]), ("j2", [2]),
        ("9", []), ("%", [1]), ("äsa", []),
    ):  # fmt: skip
        assert [row.number for row in jobs_found(shop, wanted)] == numbers, wanted


def test_a_batch_matched_profile_binds_its_frames_to_one_batch_unless_told_otherwise(
    shop: Shop,
) -> None:
    counter.take(shop, told(shop, profile="LEAF-40"))
    counter.take(shop, told(shop, profile="LEAF-40", one_batch=False))
    assert [row.one_batch for row in job_rows(shop)] == [True, False]


def test_a_rail_longer_than_any_stick_is_refused_when_the_job_is_taken_in(shop: Shop) -> None:
    with pytest.raises(Refused, match="longer than any stick of ASH-22"):
        counter.take(shop, told(shop, width="2970"))
    assert job_rows(shop) == []


def test_a_canvas_deeper_than_its_float_is_refused_unless_it_may_stand_proud(shop: Shop) -> None:
    with pytest.raises(Refused, match="stands 2 mm proud"):
        counter.take(shop, told(shop, profile="FLOAT-12", depth="40"))
    taken = counter.take(shop, told(shop, profile="FLOAT-12", depth="40", proud=True))
    assert [notice.code for notice in taken.sizes.notices] == ["proud"]


@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        ({"due": "2026-11-22"}, Refused),
        ({"due": "next week"}, Unreadable),
        ({"width": "-2"}, Unreadable),
        ({"width": "1 / 2 / 3 / 4"}, Unreadable),
        ({"width": "0"}, Refused),
        ({"profile": "ASH-2Z"}, Unknown),
        ({"quantity": "0"}, Refused),
        ({"quantity": "many"}, Unreadable),
        ({"gap": "9"}, Refused),
        ({"overlap": "5"}, Refused),
        ({"mat": "50 / 50"}, Unreadable),
        ({"customer": ""}, Refused),
    ],
)
def test_a_doubtful_job_is_refused_and_leaves_no_trace(
    shop: Shop, wrong: dict[str, str], error: type[Exception]
) -> None:
    with pytest.raises(error):
        counter.take(shop, told(shop, **wrong))
    assert job_rows(shop, done=True) == []


def test_a_work_on_paper_is_framed_by_its_glass(shop: Shop) -> None:
    mat = {"mat": "60 / 60 / 60 / 80", "overlap": "5", "allowance": "3"}
    taken = counter.take(shop, told(shop, width="297", height="420", **mat))
    assert taken.sizes.artwork_um == (297_000, 420_000)
    assert taken.sizes.package_um == (407_000, 550_000)
    assert taken.sizes.opening_um == (410_000, 553_000)


def test_a_held_job_is_released_and_a_cancelled_one_stays_cancelled(shop: Shop) -> None:
    counter.take(shop, told(shop))
    amending.hold(shop, "J1", "finish unsure")
    with pytest.raises(Clash, match="is held"):
        amending.hold(shop, "1")
    amending.release(shop, "j1")
    amending.cancel(shop, "J1", "withdrawn")
    with pytest.raises(Clash, match="cancelled already"):
        amending.cancel(shop, "J1", "again")
    assert job_rows(shop) == []


def test_a_changed_job_has_new_rails_and_the_right_number_of_frames(shop: Shop) -> None:
    counter.take(shop, told(shop, quantity="3"))
    change_told(shop, "J1", {"width": "600", "quantity": "2"})
    row, _ = job_row(shop, "J1")
    assert (row.across, row.quantity, row.rails_waiting) == (635_000, 2, 8)
    change_told(shop, "J1", {"quantity": "4", "due": "2026-12-01"})
    row, _ = job_row(shop, "J1")
    assert (row.rails_waiting, row.due) == (16, date(2026, 12, 1))


def test_a_job_moved_to_a_float_forgets_its_allowance(shop: Shop) -> None:
    counter.take(shop, told(shop, allowance="4"))
    taken = change_told(shop, "J1", {"profile": "FLOAT-12", "gap": "8"})
    assert taken.sizes.opening_um == (516_000, 416_000)


GOOD = "customer,profile,width,height,due\nR. Aldous,ASH-22,500,400,2026-11-27\n"


def written(folder: Path, text: str | bytes) -> Path:
    """A file with this text."""
    path = folder / "jobs.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_a_file_of_jobs_is_taken_in_whole(shop: Shop, tmp_path: Path) -> None:
    result = take_file(shop, written(tmp_path, GOOD + "B. Ide,LEAF-40,300,200,2026-11-28\n"))
    assert (result.taken, result.faults) == (2, ())
    assert [row.customer for row in job_rows(shop)] == ["R. Aldous", "B. Ide"]


def test_every_fault_of_a_file_is_listed_by_its_row_and_nothing_is_taken(
    shop: Shop, tmp_path: Path
) -> None:
    rows = "B. Ide,ASH-23,300,200,2026-11-28\nC. Lund,ASH-22,3 4/2 1,200,2026-11-28\n"
    with pytest.raises(BadFile) as refused:
        take_file(shop, written(tmp_path, GOOD + rows))
    assert [row for row, _ in refused.value.faults] == [3, 4]
    assert "ASH-22" in str(refused.value.faults[0][1])
    assert "width" in str(refused.value.faults[1][1])
    assert job_rows(shop) == []


def test_the_good_rows_are_taken_when_told_so(shop: Shop, tmp_path: Path) -> None:
    rows = "B. Ide,ASH-23,300,200,2026-11-28\nC. Lund,ASH-22,300,200,2026-11-28\n"
    result = take_file(shop, written(tmp_path, GOOD + rows), good_rows=True)
    assert (result.taken, [row for row, _ in result.faults]) == (2, [3])


def test_a_dry_run_takes_nothing(shop: Shop, tmp_path: Path) -> None:
    assert take_file(shop, written(tmp_path, GOOD), dry_run=True).taken == 1
    assert job_rows(shop) == []


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (GOOD.replace("due", "when"), "'due' is missing"),
        (GOOD.replace("customer,", "customer,customer,"), "stands twice"),
        (GOOD.replace("R. Aldous", "=1+1"), "as a spreadsheet's formula does"),
        (GOOD.replace("R. Aldous", "R.\x07Aldous"), "cannot be printed"),
        (GOOD + "too,few\n", "2 cells"),
        (GOOD.encode("utf-16"), "not UTF-8"),
        (b"", "'customer' is missing"),
        (GOOD + '"open,ASH-22,1,1,2026-11-27\n', "not CSV"),
    ],
)
def test_a_file_that_is_no_list_of_jobs_is_refused_whole(
    shop: Shop, tmp_path: Path, text: str | bytes, said: str
) -> None:
    with pytest.raises(BadFile, match=said):
        take_file(shop, written(tmp_path, text))
    assert job_rows(shop) == []


def test_a_missing_file_is_said_to_be_missing(shop: Shop, tmp_path: Path) -> None:
    with pytest.raises(BadFile, match="cannot be read"):
        take_file(shop, tmp_path / "none.csv")
