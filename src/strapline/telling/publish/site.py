"""The report's pages for an audience, ready to upload: without what only the tester needs, and with
nothing in them or in their addresses that tells who wore the devices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import TYPE_CHECKING

import pandas as pd

from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.session_tables import SessionTables

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation


def foot(presentation: Presentation, page: str) -> str:
    """What stands under a published picture: the credit, and where the site has its page."""
    address = presentation.address.partition("://")[2].rstrip("/")
    return ", ".join(filter(None, [presentation.credit, address and f"{address}/{page}"]))


def at_addresses(archive: ArchiveTables, addresses: Mapping[str, str]) -> ArchiveTables:
    """The same with sessions by what they are called in addresses."""
    return replace(
        archive,
        **{
            field.name: _renamed(table, addresses)
            for field in fields(archive)
            if "session" in (table := getattr(archive, field.name)).columns
        },
    )


def at_address(session: SessionTables, address: str) -> SessionTables:
    """The same of one session."""
    return replace(session, intake=session.intake.model_copy(update={"session": address}))


def _renamed(table: pd.DataFrame, addresses: Mapping[str, str]) -> pd.DataFrame:
    words = table["session"].astype(str)
    return table.assign(session=words.map(addresses).fillna(words))
