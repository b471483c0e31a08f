"""The report's pages for an audience, ready to upload: without what only the tester needs, and with
nothing in them or in their addresses that tells who wore the devices."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any, TypeVar

import pandas as pd
from pydantic import BaseModel

from strapline.ground.records.intake import UNKNOWN
from strapline.ground.tables.archive import in_session
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.session_tables import SessionTables

Record = TypeVar("Record", ArchiveTables, SessionTables)

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation

# The column, and the key in documents, that names a session and nothing else.
SESSION = "session"
# In the name of an unknown device, and in that of a place among activities.
WITHIN_A_NAME = re.compile(
    rf'(?<={re.escape(UNKNOWN)})[a-z0-9-]+|(?<="{in_session("")})[a-z0-9-]+(?=")'
)


def foot(presentation: Presentation, page: str) -> str:
    """What stands under a published picture: the credit, and where the site has its page."""
    address = presentation.address.partition("://")[2].rstrip("/")
    return ", ".join(filter(None, [presentation.credit, address and f"{address}/{page}"]))


class Addresses:
    """`renamed`: the addresses of sessions that are not called by their names. Others' names may
    hold a session's: a device that nobody knows is called after the session it was in."""

    def __init__(self, renamed: Mapping[str, str]) -> None:
        self._renamed = renamed

    def of(self, text: str) -> str:
        """The text with sessions by what they are called in addresses."""
        return WITHIN_A_NAME.sub(lambda found: self._named(found[0]), text)

    def within(self, record: Record) -> Record:
        """The same of a record of tables and documents."""
        if not self._renamed:
            return record
        kept = {field.name: getattr(record, field.name) for field in fields(record)}
        return replace(record, **{name: self._within(part) for name, part in kept.items()})

    def _named(self, session: str) -> str:
        return self._renamed.get(session, session)

    def _within(self, part: Any) -> Any:
        if isinstance(part, BaseModel):
            said = self._said(json.loads(part.model_dump_json()))
            return type(part).model_validate_json(json.dumps(said))
        if not isinstance(part, pd.DataFrame):
            return part
        words = part.select_dtypes(["category", "object", "string"])
        return part.assign(**{str(name): self._words(column) for name, column in words.items()})

    def _said(self, part: Any, key: str = "") -> Any:
        """Of a document, of what is under a key in it."""
        if isinstance(part, dict):
            return {name: self._said(value, name) for name, value in part.items()}
        if isinstance(part, list):
            return [self._said(value) for value in part]
        if not isinstance(part, str):
            return part
        return self._named(part) if key == SESSION else self.of(part)

    def _words(self, column: pd.Series) -> pd.Series:
        told = {each: self._said(each, str(column.name)) for each in column.unique()}
        words = [told.get(each, each) for each in column.tolist()]
        return pd.Series(words, column.index, dtype=object)
