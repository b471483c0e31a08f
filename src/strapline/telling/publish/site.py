"""The report's pages for an audience, ready to upload: without what only the tester needs, and with
nothing in them or in their addresses that tells who wore the devices."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any, TypeVar

import pandas as pd
from pydantic import BaseModel

from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.session_tables import SessionTables

Record = TypeVar("Record", ArchiveTables, SessionTables)

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation


def foot(presentation: Presentation, page: str) -> str:
    """What stands under a published picture: the credit, and where the site has its page."""
    address = presentation.address.partition("://")[2].rstrip("/")
    return ", ".join(filter(None, [presentation.credit, address and f"{address}/{page}"]))


class Addresses:
    """`names`: what each session is called in addresses. Others' names may hold a session's: a
    device that nobody knows is called after the session it was in."""

    def __init__(self, names: Mapping[str, str]) -> None:
        self._names = {name: address for name, address in names.items() if name != address}
        longest_first = sorted(self._names, key=len, reverse=True)
        self._any = re.compile("|".join(map(re.escape, longest_first)))

    def of(self, text: str) -> str:
        """The text with sessions by what they are called in addresses."""
        return self._any.sub(lambda found: self._names[found[0]], text) if self._names else text

    def within(self, record: Record) -> Record:
        """The same of a record of tables and documents."""
        if not self._names:
            return record
        kept = {field.name: getattr(record, field.name) for field in fields(record)}
        return replace(record, **{name: self._within(part) for name, part in kept.items()})

    def _within(self, part: Any) -> Any:
        if isinstance(part, BaseModel):
            return type(part).model_validate_json(self.of(part.model_dump_json()))
        if not isinstance(part, pd.DataFrame):
            return part
        words = part.select_dtypes(["category", "object", "string"])
        return part.assign(**{str(name): self._words(column) for name, column in words.items()})

    def _words(self, column: pd.Series) -> pd.Series:
        said = {each: self.of(each) for each in column.unique() if isinstance(each, str)}
        words = [said.get(each, each) for each in column.tolist()]
        return pd.Series(words, column.index, dtype=object)
