"""The wheel built from the project works from an empty folder, demo and seeds included.

That the whole week is played from it is the gate's own, which installs it as the README says.
"""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGES = ("stockroom", "planner", "seeds", "demo")
DEMO = "from demo.workshop import make_workshop; make_workshop('demo.db')"


def unpacked(folder: Path) -> Path:
    """A folder with what the wheel holds, and nothing else of the project."""
    command = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "-q",
        "--no-deps",
        "-w",
        str(folder),
        str(ROOT),
    ]
    subprocess.run(command, check=True, capture_output=True)
    (wheel,) = folder.glob("stockroom-*.whl")
    packages = folder / "packages"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(packages)
    return packages


def run(packages: Path, folder: Path, *words: str) -> str:
    """What Python says in this folder, with the wheel's packages, of which it must not complain."""
    environment = {**os.environ, "PYTHONPATH": str(packages), "PYTHONUTF8": "1", "COLUMNS": "80",
                   "STOCKROOM_SHOP": str(folder / "shop.db")}  # fmt: skip
    done = subprocess.run([sys.executable, *words], cwd=folder, env=environment,
                          capture_output=True, text=True, check=False)  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_wheel_holds_all_files_of_the_packages_and_works_from_an_empty_folder(
    tmp_path: Path,
) -> None:
    packages, folder = unpacked(tmp_path), tmp_path / "empty"
    folder.mkdir()
    tops = {path.name for path in packages.iterdir() if not path.name.endswith(".dist-info")}
    assert tops == set(PACKAGES)
    ours = [path for name in PACKAGES for path in (ROOT / name).rglob("*.*")
            if path.is_file() and "__pycache__" not in path.parts]  # fmt: skip
    held = [packages / path.relative_to(ROOT) for path in ours]
    assert [path for path in held if not path.is_file()] == []
    assert [path for path, mine in zip(held, ours, strict=True)
            if path.read_bytes() != mine.read_bytes()] == []  # fmt: skip
    run(packages, folder, "-m", "stockroom", "setup", "--starter")
    listed = run(packages, folder, "-m", "stockroom", "profiles", "--as", "csv")
    assert len(listed.splitlines()) > 24
    run(packages, folder, "-c", DEMO)
    assert (folder / "demo.db").is_file()
