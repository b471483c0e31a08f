"""What the report's files on one session or device are called, from the report's folder on."""

SESSION_PAGE = "sessions/{}.html"
ORIGIN_PAGE = "sessions/{}.origin.html"
# The figures that those two pages show, as they show them.
SHOWN_FIGURES = "sessions/{}.figures.json"
DEVICE_PAGE = "devices/{}.html"


def of_session(session: str) -> tuple[str, ...]:
    """The files on one session, its page first."""
    return tuple(name.format(session) for name in (SESSION_PAGE, ORIGIN_PAGE, SHOWN_FIGURES))
