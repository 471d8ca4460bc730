"""What came with a request, read in bounds and checked: a form, a photo, a body of a model."""

import asyncio
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ValidationError
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request

from stockroom.page.safety.gate import BODY, PHOTO
from stockroom.refusals import Unreadable

__all__ = ["Sent", "number_typed", "plain", "read"]

MOST_FIELDS = 5_000
"""A shelf that is counted sends two fields a piece."""
BODY_SECONDS = 20.0
"""How long a body may take to come; a slower client is dropped."""


@dataclass(frozen=True)
class Sent:
    """What a change takes with it."""

    body: type[BaseModel] | None
    photo: bool


async def read(request: Request, sent: Sent | None) -> dict[str, Any]:
    """What came with a request, checked.

    Raises:
        Unreadable: it is not what the page takes.
        HTTPException: it is too large, or came too slowly.
    """
    if sent is None:
        return {}
    try:
        async with asyncio.timeout(BODY_SECONDS):
            raw = await whole_body(request, PHOTO if sent.photo else BODY)
            if sent.body is not None:
                return {"body": checked(sent.body, raw)}
            return await form_of(request)
    except TimeoutError:
        raise HTTPException(408) from None


async def whole_body(request: Request, most: int) -> bytes:
    """The body, if it is no larger than this; a form is then read from it."""
    parts, size = [], 0
    async for part in request.stream():
        size += len(part)
        if size > most:
            raise HTTPException(413)
        parts.append(part)
    # Starlette reads a form from the body that is kept here.
    request._body = b"".join(parts)  # noqa: SLF001
    return request._body  # noqa: SLF001


def checked(model: type[BaseModel], raw: bytes) -> BaseModel:
    """A body as its model takes it.

    Raises:
        Unreadable: says which field, and what it takes.
    """
    try:
        return model.model_validate_json(raw)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "the body"
        raise Unreadable(where, first["msg"]) from None


async def form_of(request: Request) -> dict[str, Any]:
    """The fields of a form, and the bytes of its photo."""
    pairs, photo = [], b""
    async with request.form(max_files=1, max_fields=MOST_FIELDS, max_part_size=BODY) as form:
        for name, value in form.multi_items():
            if isinstance(value, UploadFile):
                photo = await value.read()
            else:
                pairs.append((name, value))
    many: dict[str, tuple[str, ...]] = {}
    for name, text in pairs:
        many[name] = (*many.get(name, ()), text)
    return {"form": plain(pairs), "many": many, "photo": photo}


def plain(pairs: list[tuple[str, str]]) -> dict[str, str]:
    """Names and texts, the last of a name.

    Raises:
        Unreadable: a text has characters that cannot be shown.
    """
    for name, text in pairs:
        if not all(c.isprintable() or c in "\r\n\t" for c in name + text):
            raise Unreadable(name + text, "letters, digits and signs that can be shown")
    return dict(pairs)


def number_typed(text: str) -> int:
    """A number as typed or scanned.

    Raises:
        Unreadable: it is none.
    """
    text = text.strip()
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise Unreadable(text, "a number, such as 214")
    return int(text)
