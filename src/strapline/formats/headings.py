"""What the headings of a table mean."""

import re

MOMENT, DATE, ELAPSED, ELAPSED_MS = "moment", "date", "elapsed", "elapsed_ms"
HEART_RATE, CADENCE, RR = "heart_rate", "cadence", "rr"

# Letters and figures only, in lower case. Where a table has several headings of one meaning,
# the one named first here is used.
WORDS: dict[str, tuple[str, ...]] = {
    MOMENT: (
        "timestamp", "time stamp", "datetime", "date time", "date and time", "utc", "time utc",
        "utc time", "timestamp utc", "timestamp ms", "timestamp s", "unix time", "unix timestamp",
        "epoch", "epoch ms", "epoch s", "local time", "time local", "time", "time of day", "clock",
        "zeit", "uhrzeit", "zeitstempel", "heure", "hora", "ora", "tijd",
    ),
    DATE: ("date", "day", "datum", "fecha", "data"),
    ELAPSED: (
        "elapsed", "elapsed s", "elapsed sec", "elapsed seconds", "elapsed time",
        "elapsed time s", "elapsed time sec", "time elapsed", "time s", "time sec",
        "time seconds", "seconds", "second", "secs", "sec", "s", "t", "t s", "duration",
        "duration s", "sekunden",
    ),
    ELAPSED_MS: (
        "elapsed ms", "elapsed time ms", "time ms", "milliseconds", "millis", "ms", "t ms",
    ),
    HEART_RATE: (
        "heart rate", "heart rate bpm", "heartrate", "heartrate bpm", "hr", "hr bpm", "bpm",
        "bpm bpm", "pulse", "pulse bpm", "pulse rate", "herzfrequenz", "herzfrequenz bpm", "puls",
        "fréquence cardiaque", "frecuencia cardíaca", "frequenza cardiaca", "hartslag",
    ),
    CADENCE: (
        "cadence", "cadence rpm", "cadence spm", "cadence steps min", "cad", "rpm", "spm",
        "steps per minute", "run cadence", "trittfrequenz", "schrittfrequenz",
    ),
    RR: (
        "rr", "rr ms", "rr s", "rr sec", "rr interval", "rr intervals", "rr interval ms",
        "rr intervals ms", "rr interval s", "rr intervals s", "r r", "r r ms", "r r interval",
        "r r interval ms", "rri", "rri ms", "ibi", "ibi ms", "nn", "nn ms",
    ),
}  # fmt: skip

_MEANINGS = {word: meaning for meaning, words in WORDS.items() for word in words}
_RANKS = {word: rank for words in WORDS.values() for rank, word in enumerate(words)}


def meaning_of(heading: str) -> str | None:
    return _MEANINGS.get(_plain(heading))


def places(headings: list[str]) -> dict[str, int]:
    """The column to use for each meaning that `headings` have."""
    found: dict[str, int] = {}
    for place, heading in enumerate(headings):
        meaning = meaning_of(heading)
        if meaning is None:
            continue
        if meaning not in found or _rank(heading) < _rank(headings[found[meaning]]):
            found[meaning] = place
    return found


def _rank(heading: str) -> int:
    return _RANKS[_plain(heading)]


def _plain(heading: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", heading.casefold()))
