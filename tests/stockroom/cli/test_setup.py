"""Setting a shop up: asked question by question, proposed by where one is, changed later."""

import json
from pathlib import Path

import pytest

from stockroom.settings.local_settings import local_settings, zone_here
from tests.stockroom.cli.bench import run


def values(where: str) -> dict[str, str]:
    """The shop's settings as they are spelt."""
    rows = json.loads(run(where, "settings", "--as", "json").stdout)
    return {row["setting"]: row["value"] for row in rows}


def test_a_new_shop_is_asked_about_and_everything_can_be_changed_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("typer.testing._NamedTextIOWrapper.isatty", lambda self: True)
    monkeypatch.setenv("LC_ALL", "de_AT.UTF-8")
    monkeypatch.setenv("TZ", "Europe/Vienna")
    where = str(tmp_path / "shop.db")
    # All as proposed, but for the name, a step that there is none, and the blade.
    done = run(where, "setup", typed="Die Leiste\n\n3 mm\n1 mm\n\n\n\n\n2,8\n")
    assert done.exit_code == 0, done.output
    assert "cannot read '3 mm'" in done.output
    kept = values(where)
    asked = (
        "name",
        "unit",
        "step",
        "currency",
        "timezone",
        "paper",
        "cutter",
        "kerf",
        "dates",
        "csv",
    )
    assert [kept[name] for name in asked] == [
        "Die Leiste", "mm", "1 mm", "€", "Europe/Vienna", "a4", "saw", "2.8 mm", "dmy", "semicolon",
    ]  # fmt: skip
    changed = run(where, "settings", "paper", "letter").stdout
    assert "letter" in changed
    assert "kerf" not in changed


@pytest.mark.parametrize(
    ("tag", "told"),
    [("en_US.UTF-8", "in $ letter comma mdy"), ("en_CA", "mm $ letter comma dmy"),
     ("de-CH", "mm CHF a4 comma dmy"), ("fr_FR.UTF-8", "mm € a4 semicolon dmy"),
     ("C.UTF-8", "mm $ a4 comma dmy"), ("", "mm $ a4 comma dmy")],
)  # fmt: skip
def test_what_is_proposed_is_what_is_common_there(tag: str, told: str) -> None:
    found = local_settings({"LANG": tag, "TZ": "UTC"})
    assert " ".join(found[name] for name in ("unit", "currency", "paper", "csv", "dates")) == told


def test_a_zone_that_nobody_knows_is_utc(tmp_path: Path) -> None:
    assert zone_here({"TZ": "Nowhere/Here"}) == "UTC"
    (tmp_path / "localtime").symlink_to("/usr/share/zoneinfo/Asia/Tokyo")
    assert zone_here({}, str(tmp_path / "localtime")) == "Asia/Tokyo"
    assert zone_here({}, str(tmp_path / "none")) == "UTC"
