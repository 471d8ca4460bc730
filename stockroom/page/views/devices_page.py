"""The devices that are let in: a code for another one, and shutting one out."""

from starlette.responses import Response

from stockroom.page.asking import Ask, changes, go, render, shown
from stockroom.page.safety.devices import Role
from stockroom.page.safety.pairing import MINUTES
from stockroom.paper.codes import code_of

__all__ = ["ROUTES"]


def devices(ask: Ask) -> Response:
    """The list of devices."""
    return render(ask, "devices.html", listed=ask.served.devices.listed(), code="", minutes=MINUTES)


def new_code(ask: Ask) -> Response:
    """A code for another device, to be typed or scanned there."""
    role: Role = "owner" if ask.form.get("role") == "owner" else "cutter"
    code = ask.served.codes.new(role)
    host = ask.served.hosts[0]
    # Behind the #, a browser sends it to nobody: it stands in no address that is asked for.
    address = f"{ask.served.scheme}://{host}/enter#{code}"
    return render(ask, "devices.html", listed=ask.served.devices.listed(), code=code, role=role,
                  host=host, qr=code_of(address, "qr"), minutes=MINUTES)  # fmt: skip


def shut_out(ask: Ask) -> Response:
    """A device is let in no longer, from its next request on."""
    ask.served.devices.shut_out(ask.path["number"])
    return go("/devices")


ROUTES = (
    shown("/devices", devices, "owner"),
    changes("/devices/code", new_code, "owner"),
    changes("/devices/{number:number}/out", shut_out, "owner", again=devices),
)
