"""What follows the label of a device wherever a figure appears that is no measured trace's."""

from collections.abc import Sequence

READ_FROM_PICTURE = " (read from a picture)"
AS_STATED = " (as the app states)"
# Each with what it is over sessions of which only some are so.
_PARTLY = {
    READ_FROM_PICTURE: " (partly read from a picture)",
    AS_STATED: " (partly as the app states)",
}


def unmarked(label: str) -> str:
    """What the device is called."""
    for mark in _PARTLY:
        label = label.removesuffix(mark)
    return label


def over_sessions(labels: Sequence[str]) -> str:
    """The label of a device over several sessions, the latest last, from its labels in each."""
    marks = ""
    for mark, partly in _PARTLY.items():
        count = sum(label.endswith(mark) for label in labels)
        if count:
            marks += mark if count == len(labels) else partly
    return f"{unmarked(labels[-1])}{marks}"
