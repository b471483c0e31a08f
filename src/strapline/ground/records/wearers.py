"""The wearers, `wearers.yaml`: what is known of each one's body, from a date on."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, model_validator

from strapline.ground.documents import Strict, Word, load
from strapline.ground.records.card import Body


class Known(Body, populate_by_name=True):
    """What holds `from` a date on, until something else is said; without one, from the first."""

    since: Annotated[dt.date | None, Field(alias="from")] = None


class Wearers(Strict):
    """By the name that cards use."""

    wearers: dict[Word, tuple[Known, ...]] = Field(default={})

    @model_validator(mode="after")
    def _in_order(self) -> Wearers:
        for name, known in self.wearers.items():
            dates = [each.since or dt.date.min for each in known]
            if dates != sorted(set(dates)):
                raise ValueError(f"must give the entries of {name} in order of 'from', each once")
            # What holds together must fit together.
            for day in dates:
                self.body(name, day)
        return self

    def body(self, name: str, day: dt.date | None) -> Body:
        """What is known of a wearer's body on a day; where nobody knows the day, the latest."""
        held: dict[str, Any] = {}
        for known in self.wearers.get(name, ()):
            if day is None or (known.since or dt.date.min) <= day:
                held |= known.model_dump(exclude_none=True, exclude={"since"})
        return Body(**held)

    def of(self, name: str) -> dict[str, Any]:
        """A document with this wearer alone."""
        own = Wearers(wearers={n: known for n, known in self.wearers.items() if n == name})
        dumped: dict[str, Any] = own.model_dump(mode="json", by_alias=True, exclude_none=True)
        return dumped


def load_wearers(path: str | os.PathLike[str]) -> Wearers:
    """None where there is no such file. Raises DocumentError with a sentence for every mistake."""
    return load(path, Wearers) if Path(path).exists() else Wearers()


def completed(stated: Body, known: Body) -> Body:
    """What a card states, and what else is known. Raises ValueError where that does not fit."""
    held: dict[str, Any] = known.model_dump(exclude_none=True)
    return Body(**held | stated.model_dump(exclude_none=True))
