"""What files of the report are called, from its folder on, where the flow is planned by them before
any page is known."""

ARCHIVE_PAGE = "index.html"
SESSIONS_PAGE = "sessions.html"
PAIRS_PAGE = "head-to-head.html"
CHANGES_PAGE = "changes.html"
METHOD_PAGE = "method.html"
GLOSSARY_PAGE = "glossary.html"
DATA_PAGE = "data.html"
PLAN_PAGE = "plan.html"
SHEET_PAGE = "sheet.html"
CHECKLIST_PAGE = "checklist.html"
# From which a session's page knows those before and after it.
SESSIONS_IN_ORDER = "sessions.js"
CORRECTIONS = "corrections.md"

# By the step that writes them, each under the name of an argument of its `run`; those of the site,
# with the pages of devices, under one.
OF_STAGE = {
    "site": {
        "archive": ARCHIVE_PAGE,
        "sessions": SESSIONS_PAGE,
        "pairs": PAIRS_PAGE,
        "in_order": SESSIONS_IN_ORDER,
    },
    "changes_page": {"page": CHANGES_PAGE, "text": CORRECTIONS},
    "method_page": {"page": METHOD_PAGE, "text": "method.md", "glossary": GLOSSARY_PAGE},
    "data_page": {"page": DATA_PAGE},
    "plan": {"page": PLAN_PAGE, "sheet": SHEET_PAGE},
    "checklist": {"page": CHECKLIST_PAGE, "text": "checklist.md"},
}

# What all pages share, in the report's folder.
THEME = "theme.js"
LOOKS = (
    "style.css",
    "site.js",
    "stretch.js",
    "pictures.js",
    "drawing.js",
    "drawings.js",
    "drawing-licences.txt",
    "StraplineSans-Regular.ttf",
    "StraplineSans-SemiBold.ttf",
    "letters-licence.txt",
)

SESSION_PAGE = "sessions/{}.html"
ORIGIN_PAGE = "sessions/{}.origin.html"
# The session's seconds, for who looks into a stretch of it.
SECONDS = "sessions/{}.seconds.js"
# The figures that those two pages show, as they show them.
SHOWN_FIGURES = "sessions/{}.figures.json"
DEVICE_PAGE = "devices/{}.html"

# Of one session, its page first, by the names of the arguments of the step `session_page`.
OF_SESSION = {
    "page": SESSION_PAGE,
    "origin": ORIGIN_PAGE,
    "seconds": SECONDS,
    "figures": SHOWN_FIGURES,
}


def of_session(session: str) -> tuple[str, ...]:
    """The files on one session, its page first."""
    return tuple(name.format(session) for name in OF_SESSION.values())
