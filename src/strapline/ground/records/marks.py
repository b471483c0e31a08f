"""What follows the label of a device wherever a figure appears that is no measured trace's."""

import json
import re
from collections.abc import Mapping, Sequence

_WORDS = ("read from a picture", "as the app states")
READ_FROM_PICTURE, AS_STATED = (f" ({words})" for words in _WORDS)

_MARK = rf"(?:partly )?(?:{'|'.join(_WORDS)})"
_MARKS = re.compile(rf" \({_MARK}(?:, {_MARK})*\)$")


def unmarked(label: str) -> str:
    """What the device is called."""
    return _MARKS.sub("", label)


def over_sessions(labels: Sequence[str]) -> str:
    """The label of a device over several sessions, the latest last, from its labels in each."""
    marks = []
    for words in _WORDS:
        count = sum(label.endswith(f" ({words})") for label in labels)
        if count:
            marks.append(words if count == len(labels) else f"partly {words}")
    plain = unmarked(labels[-1])
    return f"{plain} ({', '.join(marks)})" if marks else plain


def marked_otherwise(label: str, at: Mapping[str, Sequence[str]]) -> str | None:
    """As JSON, the label at each place where another mark goes with it than over all sessions; None
    where `label` has no mark. at: by place, its labels in the sessions there."""
    found = {place: over_sessions(labels) for place, labels in at.items()}
    others = {place: own for place, own in found.items() if own != label}
    return json.dumps(others, ensure_ascii=False) if others and unmarked(label) != label else None


def starred(labels: Sequence[str]) -> tuple[list[str], str]:
    """Labels for where there is no room for marks, with a star in their place; and what the stars
    mean, in sentences."""
    pairs = [(unmarked(label), label) for label in labels]
    short = [name if name == label else f"{name}*" for name, label in pairs]
    meant = [f"{name}*: {label[len(name) + 2 : -1]}." for name, label in pairs if name != label]
    return short, " ".join(dict.fromkeys(meant))
