"""The page of all sessions that are evidence, to be searched and sorted."""

import json

from strapline.ground.report_files import SESSIONS_PAGE
from strapline.method.claims.evidence import Policy
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.shown import Pictures
from strapline.telling.report.archive import devices_in, session_rows, wearers
from strapline.telling.report.page import Context, Page


def context(tables: ArchiveTables, policy: Policy, pictures: Pictures) -> Context:
    """Every session, newest first."""
    rows = session_rows(tables)
    return {
        "sessions": rows,
        "devices": devices_in(rows, tables.labels),
        "wearers": wearers(tables.sessions),
    }


def in_order(tables: ArchiveTables) -> str:
    """The script from which each session's page knows its neighbours: of every session its address,
    title and activity, from the oldest."""
    rows = [[row["session"], row["title"], row["activity"]] for row in session_rows(tables)]
    text = json.dumps(rows[::-1], ensure_ascii=False, separators=(",", ":"))
    return f'"use strict";\nconst SESSIONS = {text};\n'


SESSIONS = Page(SESSIONS_PAGE, "site", "sessions.html", context, word="Sessions", public=True)
