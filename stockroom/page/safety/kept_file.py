"""Files that are a secret, or tell who may come in: written whole, for their owner's eyes alone."""

import os
from pathlib import Path

from stockroom.files.new_file import opened_own, private_folder

__all__ = ["keep_secret"]


def keep_secret(file: Path, content: bytes) -> None:
    """Writes a file whole, in a folder and with rights that are its owner's alone."""
    private_folder(file.parent)
    part = file.with_suffix(".part")
    with os.fdopen(opened_own(part, os.O_TRUNC), "wb") as written:
        written.write(content)
    part.replace(file)
