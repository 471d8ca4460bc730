"""Jobs known ahead, by command: looked at with today's, cut where that pays, else left to wait."""

import pytest

from stockroom.services.shop import Shop
from tests.stockroom.cli.bench import run

AHEAD = ("plan", "--ahead", "9")


def take(where: str, across: str, upright: str, due: str, profile: str = "ASH-22") -> None:
    """A job whose rails are 35 mm longer than its artwork."""
    done = run(where, "take", "--customer", "A", "-p", profile, "-w", across, "--height", upright,
               "--due", due)  # fmt: skip
    assert done.exit_code == 0, done.stderr


@pytest.fixture
def waiting(shop: Shop, where: str) -> Shop:
    """One job due on Monday; J2 fits what it leaves, J3 would only open a stick, J4 is later.

    J1 takes four rails of 500 mm of a stick of 3 m: 959.9 mm are left, two rails of 477 mm and the
    cut between them. The offcut holds the other two rails of J2, 500 mm each.
    """
    take(where, "465", "465", "2026-11-23")
    take(where, "465", "442", "2026-12-02")
    take(where, "765", "565", "2026-12-02")
    take(where, "465", "442", "2026-12-03")
    assert run(where, "receive", "ASH-22", "B1", "3x 3 m").exit_code == 0
    assert run(where, "found", "ASH-22", "1005.5 mm", "--batch", "B1").exit_code == 0
    return shop


def test_a_later_job_is_cut_with_todays_where_that_pays(waiting: Shop, where: str) -> None:
    alone = run(where, "plan").stdout
    assert "J1" in alone
    assert "J2" not in alone
    assert "Ahead" not in alone
    done = run(where, *AHEAD)
    assert done.exit_code == 0, done.stderr
    assert "J2 (A, ASH-22): due Wed 2026-12-02, cut with today's" in done.stdout
    assert "J3" not in done.stdout
    assert "J4" not in done.stdout
    assert "frames due by Mon 2026-11-23" in done.stdout
    again = run(where, "plan", "--again", "--without", "J2").stdout
    assert "J2" not in again
    # A job that is pinned is wanted today, whatever it costs.
    pinned = run(where, "plan", "--again", "--pin", "J3=2").stdout
    assert "J3 (A, ASH-22): due Wed 2026-12-02" in pinned


def test_the_setting_does_what_the_option_does(waiting: Shop, where: str) -> None:
    assert run(where, "settings", "ahead", "9").exit_code == 0
    assert "Ahead" in run(where, "plan").stdout
    assert "Ahead" in run(where, "plan", "--again").stdout
    assert "Ahead" not in run(where, "plan", "--ahead", "0").stdout
    refused = run(where, "settings", "ahead", "366")
    assert refused.exit_code == 10
    assert "a number from 0 to 365" in refused.stderr
    early = run(where, "--day", "2026-11-20", "plan")
    assert early.exit_code == 12
    assert "no frame waits to be cut by 2026-11-20" in early.stderr


def test_what_was_cut_ahead_is_done_and_other_profiles_wait(waiting: Shop, where: str) -> None:
    take(where, "465", "442", "2026-12-01", "LEAF-40")
    assert run(where, "receive", "LEAF-40", "B1", "2x 3 m").exit_code == 0
    planned = run(where, *AHEAD, "--accept")
    assert planned.exit_code == 0, planned.stderr
    assert "J5" not in planned.stdout
    cut = run(where, "cut", "--as-planned")
    assert cut.exit_code == 0, cut.stderr
    assert "J2 has all its rails" in cut.stdout + cut.stderr
    assert run(where, "audit").exit_code == 0
    left = run(where, "plan", "--until", "2026-12-03").stdout
    assert "J3" in left
    assert "J2" not in left
