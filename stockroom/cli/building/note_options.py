"""Options for what is written down of a job: one for each text, by its name."""

import inspect
from collections.abc import Callable
from functools import wraps
from typing import Annotated, Any

import typer

from stockroom.job_notes import JOB_NOTES

__all__ = ["with_notes"]


def with_notes(command: Callable[..., None]) -> Callable[..., None]:
    """A command with an option for each text of a job; it finds them in its context."""
    notes = {name: Annotated[str | None, typer.Option(f"--{name.replace('_', '-')}",
                                                      help=about["help"])]
             for name, about in JOB_NOTES.items()}  # fmt: skip

    @wraps(command)
    def run(**told: Any) -> None:
        command(**{name: value for name, value in told.items() if name not in notes})

    built = inspect.signature(command)
    more = [inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=kind)
            for name, kind in notes.items()]  # fmt: skip
    run.__signature__ = built.replace(  # type: ignore[attr-defined]
        parameters=[*built.parameters.values(), *more]
    )
    run.__annotations__ = {**command.__annotations__, **notes}
    return run
