"""The page of all sessions that are evidence, to be searched and sorted."""

from strapline.ground.report_files import SESSIONS_PAGE
from strapline.method.claims.evidence import Policy
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.shown import Pictures
from strapline.telling.report.archive import session_rows, wearers
from strapline.telling.report.page import Context, Page


def context(tables: ArchiveTables, policy: Policy, pictures: Pictures) -> Context:
    """Every session, newest first."""
    return {
        "sessions": session_rows(tables),
        "wearers": wearers(tables.sessions),
    }


SESSIONS = Page(SESSIONS_PAGE, "site", "sessions.html", context, word="Sessions", public=True)
