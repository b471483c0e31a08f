"""What files of the report are called, from its folder on, where the flow is planned by them before
any page is known."""

ARCHIVE_PAGE = "index.html"
SESSIONS_PAGE = "sessions.html"
PAIRS_PAGE = "head-to-head.html"
# From which a session's page knows those before and after it.
SESSIONS_IN_ORDER = "sessions.js"
# Written in one step, with the pages of devices.
OF_SITE = (ARCHIVE_PAGE, SESSIONS_PAGE, PAIRS_PAGE, SESSIONS_IN_ORDER)

# What all pages share, in the report's folder.
THEME = "theme.js"
LOOKS = (
    "style.css",
    "site.js",
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


def of_session(session: str) -> tuple[str, ...]:
    """The files on one session, its page first."""
    names = (SESSION_PAGE, ORIGIN_PAGE, SECONDS, SHOWN_FIGURES)
    return tuple(name.format(session) for name in names)
