"""Times, lengths and errors as a reader says them."""


def clock(seconds: float) -> str:
    """A moment of the session: '1:20', '1:02:05'."""
    minutes, second = divmod(round(seconds), 60)
    hours, minute = divmod(minutes, 60)
    return f"{hours}:{minute:02}:{second:02}" if hours else f"{minute}:{second:02}"


def lasting(seconds: float) -> str:
    """A length of time: '45 s', '6 min 10 s', '1 h 5 min'."""
    minutes, second = divmod(round(seconds), 60)
    hours, minute = divmod(minutes, 60)
    parts = [(hours, "h"), (minute, "min"), (0 if hours else second, "s")]
    return " ".join(f"{value} {unit}" for value, unit in parts if value) or "0 s"


def whole(value: float) -> str:
    """'22', '−31' with a true minus sign, '0' without a sign."""
    return f"{round(value):d}".replace("-", "−")


def signed(value: float) -> str:
    """'+22', '−31', '0'."""
    return f"{round(value):+d}".replace("-", "−") if round(value) else "0"


def percent(share: float) -> str:
    """A share as '12 %', and '0.4 %' below one in a hundred."""
    value = 100 * share
    return f"{value:.1f} %" if 0 < value < 0.95 else f"{value:.0f} %"
