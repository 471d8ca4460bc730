"""The devices that were let in: kept in a file beside the record, their tokens as hashes alone."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from secrets import token_hex, token_urlsafe
from threading import Lock
from typing import Any, Literal

from stockroom.page.safety.kept_file import keep_secret
from stockroom.refusals import Refused, Unknown
from stockroom.units.texts import kept_text

__all__ = ["Device", "Devices", "Role", "may"]

Role = Literal["cutter", "owner"]
RANKS: Mapping[str, int] = {"cutter": 0, "owner": 1}
LONGEST_NAME = 40


@dataclass(frozen=True, slots=True)
class Device:
    """A tablet, phone or screen: who is at it, what they may do, and since when it is let in.

    ``proof`` is the SHA-256 of its token; the token itself is on the device alone.
    """

    number: int
    who: str
    role: Role
    since: str = ""
    proof: str = ""
    out: bool = False


def may(device: Device, role: Role) -> bool:
    """True where a device may do what this role may; an owner may do all."""
    return RANKS[device.role] >= RANKS[role]


class Devices:
    """The list of devices; it survives the server, and can be changed from any thread."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._lock = Lock()
        kept = self._kept()
        self.mark = str(kept.get("mark") or token_hex(4))
        self._all = {row["number"]: Device(**row) for row in kept.get("devices", ())}

    @property
    def cookie(self) -> str:
        """The cookie's name: each shop has its own, since cookies do not tell ports apart."""
        return f"stockroom_{self.mark}"

    def listed(self) -> list[Device]:
        """Every device that is let in, oldest first."""
        return [device for device in self._all.values() if not device.out]

    def known(self, token: str) -> Device | None:
        """The device that holds this token, if it is let in."""
        proof = hashed(token)
        return next((device for device in self.listed() if device.proof == proof), None)

    def let_in(self, who: str, role: Role) -> str:
        """A new device is let in; gives its token, which is kept nowhere here.

        Raises:
            Refused: nobody is named.
        """
        name = kept_text(who, "name", LONGEST_NAME)
        if not name:
            raise Refused("nobody is named", "say who is at this device: it stands in the record")
        token = token_urlsafe(32)
        with self._lock:
            number = max(self._all, default=0) + 1
            since = datetime.now(UTC).isoformat(timespec="minutes")
            self._all[number] = Device(number, name, role, since, hashed(token))
            self._keep()
        return token

    def shut_out(self, number: int) -> Device:
        """A device is let in no longer.

        Raises:
            Unknown: there is none of this number.
        """
        with self._lock:
            device = self._all.get(number)
            if device is None or device.out:
                raise Unknown("device", str(number))
            self._all[number] = replace(device, out=True, proof="")
            self._keep()
            return device

    def _kept(self) -> dict[str, Any]:
        """What the file holds; nothing where there is none yet."""
        try:
            kept: dict[str, Any] = json.loads(self._file.read_text(encoding="utf-8"))
        except FileNotFoundError:
            return {}
        return kept

    def _keep(self) -> None:
        """Writes the list."""
        rows = [asdict(device) for device in self._all.values()]
        keep_secret(self._file, json.dumps({"mark": self.mark, "devices": rows}, indent=1).encode())


def hashed(token: str) -> str:
    """A token as it is kept."""
    return sha256(token.encode()).hexdigest()
