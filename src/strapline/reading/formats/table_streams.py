"""The heart rates of a table that has several: a column each, or a name of the sensor in each row.

What a heading or a cell says may hold a person's name, so only words of ours are passed on.
"""

from collections.abc import Sequence

import numpy as np

from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import SensorKind
from strapline.reading.formats.columns import Reals
from strapline.reading.formats.export import Stream
from strapline.reading.formats.heading_words import words_of
from strapline.reading.formats.sentences import placed

# Words that tell a kind of sensor, or where it was worn, in headings of several languages.
_WORDS = {
    SensorKind.CHEST_STRAP: "strap chest gurt brustgurt brust borst ceinture fascia torace pecho "
    "peito belt",
    SensorKind.ELECTROCARDIOGRAM: "ecg ekg",
    SensorKind.WRIST: "wrist watch handgelenk uhr pols poignet polso",
    SensorKind.ARM: "arm armband",
    SensorKind.FINGER: "finger ring",
    SensorKind.EAR: "ear ohr",
}
_KINDS = {word: kind for kind, words in _WORDS.items() for word in words.split()}
_PLACES = {"left": "left", "links": "left", "right": "right", "rechts": "right"}
_MOST_LABELS = 20


def of_columns(headings: Sequence[str]) -> tuple[Stream, ...]:
    """A stream for each heading, where there are several."""
    if len(headings) < 2:
        return ()
    count = len(headings)
    return tuple(
        _stream(n, f"the {placed(n - FIRST_STREAM)} of its {count} columns of heart rates", text)
        for n, text in enumerate(headings, FIRST_STREAM)
    )


def of_labels(
    labels: Sequence[str | None], rates: Reals
) -> tuple[np.ndarray | int, tuple[Stream, ...]]:
    """The stream of each row by the sensor it names, and the streams, where several have heart
    rates; rows that name none belong to the first."""
    has = rates > 0
    found = list(dict.fromkeys(label for label, any_ in zip(labels, has, strict=True) if any_))
    named = [label for label in found if label is not None]
    if not 2 <= len(named) <= _MOST_LABELS:
        return FIRST_STREAM, ()
    numbers = {label: number for number, label in enumerate(named, FIRST_STREAM)}
    rows = np.array([numbers.get(label or "", FIRST_STREAM) for label in labels], dtype=np.int64)
    streams = (
        _stream(n, f"the {placed(n - FIRST_STREAM)} of the {len(named)} sensors it names", label)
        for label, n in numbers.items()
    )
    return rows, tuple(streams)


def _stream(number: int, source: str, text: str) -> Stream:
    words = words_of(text)
    kind = next((_KINDS[word] for word in words if word in _KINDS), None)
    place = next((_PLACES[word] for word in words if word in _PLACES), None)
    told = [*([kind.replace("_", " ")] if kind else []), *([place] if place else [])]
    return Stream(number, f"{source} ({', '.join(told)})" if told else source, kind)
