"""The figures that a session's pages show, as they show them."""

from pydantic import BaseModel


class ShownFigures(BaseModel):
    """By page: each figure as printed, by the place on the page of origins that it stands at; see
    `anchor`."""

    page: dict[str, str]
    origin: dict[str, str]


def anchor(recording: str, view: str, metric: str) -> str:
    """Where on the page of origins a figure stands."""
    return f"{recording}.{view}.{metric}"
