"""Where a figure stands on a session's page of origins."""


def anchor(recording: str, view: str, metric: str) -> str:
    """Where on the page of origins a figure stands."""
    return f"{recording}.{view}.{metric}"
