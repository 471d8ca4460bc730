"""The wheel built from the project works from an empty folder, demo and seeds included."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with what the wheel holds, and nothing else of the project."""
    built = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(built), str(ROOT)]
    subprocess.run(command, check=True, capture_output=True)
    (wheel,) = built.glob("stockroom-*.whl")
    packages = tmp_path_factory.mktemp("packages")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(packages)
    return packages


def run(packages: Path, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """A command of the wheel's program in this folder."""
    environment = {**os.environ, "PYTHONPATH": str(packages), "PYTHONUTF8": "1", "COLUMNS": "80",
                   "STOCKROOM_SHOP": str(folder / "shop.db")}  # fmt: skip
    return subprocess.run([sys.executable, "-m", *words], cwd=folder, env=environment,
                          capture_output=True, text=True, check=False)  # fmt: skip


def test_the_wheel_plays_the_demo_from_an_empty_folder(unpacked: Path, tmp_path: Path) -> None:
    where = run(unpacked, tmp_path, "stockroom", "demo", "--keep", str(tmp_path / "kept"))
    assert where.returncode == 0, where.stderr
    assert "The record is true" in where.stderr
    assert (tmp_path / "kept" / "shop.db").is_file()


def test_the_wheel_fills_a_shop_with_the_starter_catalogue(unpacked: Path, tmp_path: Path) -> None:
    assert run(unpacked, tmp_path, "stockroom", "setup", "--starter").returncode == 0
    listed = run(unpacked, tmp_path, "stockroom", "profiles", "--as", "csv").stdout
    assert len(listed.splitlines()) > 24


def test_the_wheel_holds_the_packages_and_their_files_alone(unpacked: Path) -> None:
    tops = {path.name for path in unpacked.iterdir() if not path.name.endswith(".dist-info")}
    assert tops == {"stockroom", "planner", "seeds", "demo"}
    for name in (
        "seeds/profiles.csv",
        "demo/rack.csv",
        "demo/jobs.csv",
        "stockroom/record/migrations",
    ):
        assert (unpacked / name).exists()
