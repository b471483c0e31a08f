"""Every page of the report, those of the navigation in its order."""

from strapline.telling.report.archive import ARCHIVE
from strapline.telling.report.changes import CHANGES
from strapline.telling.report.checklist import CHECKLIST
from strapline.telling.report.data import DATA
from strapline.telling.report.device import DEVICE
from strapline.telling.report.glossary import GLOSSARY
from strapline.telling.report.head_to_head import HEAD_TO_HEAD
from strapline.telling.report.method_page import METHOD
from strapline.telling.report.origin import ORIGIN
from strapline.telling.report.page import Page
from strapline.telling.report.plan import PLAN, SHEET
from strapline.telling.report.session_page import SESSION
from strapline.telling.report.sessions import SESSIONS

PAGES: tuple[Page, ...] = (
    ARCHIVE,
    SESSIONS,
    HEAD_TO_HEAD,
    CHANGES,
    METHOD,
    GLOSSARY,
    DATA,
    PLAN,
    CHECKLIST,
    SHEET,
    DEVICE,
    SESSION,
    ORIGIN,
)


def written_by(stage: str) -> list[Page]:
    """The pages that a step writes."""
    return [page for page in PAGES if page.stage == stage]
