"""A second engine for the saw: the system's Firefox, driven by what it has built in.

Firefox's remote protocol (Mozilla, "Marionette: Protocol"): over a socket of this computer, each
message is its length, a colon, and JSON: ``[0, number, command, parameters]`` there,
``[1, number, error, result]`` back. The commands are those of W3C's WebDriver.
"""

import json
import shutil
import socket
import subprocess
import time
from base64 import b64encode
from pathlib import Path
from typing import Any

__all__ = ["Firefox", "firefox_file"]

NAMES = ("firefox-esr", "firefox")
LISTENING = "Listening on port "
PART = "element-6066-11e4-a52e-4f735466cecf"
"""How an element is named in messages (WebDriver, 12.2)."""
RESTED = "return !document.documentElement.classList.contains('resting')"
SHOWN = """return [...document.querySelectorAll(arguments[0])].find((one) =>
    one.checkVisibility() && one.textContent.includes(arguments[1])) ?? null"""
TRUSTED = """Cc["@mozilla.org/security/x509certdb;1"].getService(Ci.nsIX509CertDB)
    .addCertFromBase64(arguments[0], "C,,")"""
PATIENCE_SECONDS = 60.0


def firefox_file() -> str | None:
    """The system's Firefox; None where there is none."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


class Firefox:
    """One Firefox with one page open, and a profile of its own that outlives it."""

    def __init__(self, file: str, profile: Path) -> None:
        profile.mkdir(exist_ok=True)
        (profile / "user.js").write_text('user_pref("marionette.port", 0);\n')
        self.process = subprocess.Popen(
            [file, "--headless", "--marionette", "--remote-allow-system-access", "--no-remote",
             "--profile", str(profile)],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        assert self.process.stdout is not None
        said = next(line for line in self.process.stdout if LISTENING in line)
        self.socket = socket.create_connection(("127.0.0.1", int(said.split()[-1])), 120)
        self.answers = self.socket.makefile("rb")
        self.number = 0
        self.read()
        self.tell("WebDriver:NewSession", capabilities={})

    def read(self) -> Any:
        """The next message."""
        size = b""
        while (byte := self.answers.read(1)) != b":":
            size += byte
        return json.loads(self.answers.read(int(size)))

    def tell(self, command: str, **told: Any) -> Any:
        """A command, and what it gives."""
        self.number += 1
        sent = json.dumps([0, self.number, command, told]).encode()
        self.socket.sendall(b"%d:%s" % (len(sent), sent))
        _, number, error, result = self.read()
        assert error is None, f"{command}: {error}"
        assert number == self.number
        return result

    def goto(self, address: str) -> None:
        """Opens a page."""
        self.tell("WebDriver:Navigate", url=address)

    def reloads(self) -> None:
        """The page is opened anew, as by its reload key; then it is another."""
        self.asked("window.older = true; setTimeout(() => location.reload())")
        self.until("return !window.older && document.readyState === 'complete'")

    def asked(self, script: str, *args: Any) -> Any:
        """What a script in the page returns."""
        return self.tell("WebDriver:ExecuteScript", script=script, args=args)["value"]

    def until(self, script: str, *args: Any) -> Any:
        """What a script returns, as soon as that is something."""
        end = time.monotonic() + PATIENCE_SECONDS
        while not (found := self.asked(script, *args)):
            assert time.monotonic() < end, f"never: {script} {args}; {self.text()}"
            time.sleep(0.05)
        return found

    def shows(self, words: str, part: str = "p, h2, button") -> Any:
        """Waits until these words are shown; gives the part of the page that has them."""
        return self.until(SHOWN, part, words)

    def rests(self) -> None:
        """Waits until keys act: for a moment after each change they do not."""
        self.until(RESTED)

    def touch(self, words: str, part: str = "button") -> None:
        """One touch on a key with these words, once keys act."""
        self.rests()
        self.tell("WebDriver:ElementClick", id=self.shows(words, part)[PART])

    def types(self, keys: str) -> None:
        """Keys of a keyboard, or of a scanner."""
        acts = [{"type": kind, "value": key} for key in keys for kind in ("keyDown", "keyUp")]
        self.tell("WebDriver:PerformActions",
                  actions=[{"type": "key", "id": "keys", "actions": acts}])  # fmt: skip

    def trusts(self, certificate: bytes) -> None:
        """An authority's certificate is installed, as by hand in the settings."""
        self.tell("Marionette:SetContext", value="chrome")
        self.asked(TRUSTED, b64encode(certificate).decode())
        self.tell("Marionette:SetContext", value="content")

    def text(self) -> str:
        """All that the page shows."""
        return str(self.asked("return document.body.innerText"))

    def dies(self) -> None:
        """Its power fails."""
        self.answers.close()
        self.socket.close()
        self.process.kill()
        self.process.wait(30)
        assert self.process.stdout is not None
        self.process.stdout.close()
