"""The units that headings state."""

import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

# What is counted: beats, and nothing, in the languages that headings are known in.
_BEATS = (
    "1|beats?|bts?|b|p|s|schl|schlage|slag|slagen|sl|bat|batt|battements?|battiti|lat|latidos|"
    "batimentos|puls|pulsaciones|pulsations?|ud|uderz|uderzen|uderzenia|count|拍|次|回"
)
_MINUTE = "min|mins|minute|minuto|minuut|minut|minuta|分|分钟|分鐘|分間"
_PER_MINUTE = re.compile(rf"(?:{_BEATS})?/(?:{_MINUTE})|(?:{_BEATS})per(?:minute|min)")
_PER_MINUTE_WORDS = {"bpm", "ppm", "lpm", "bmp", "min-1", "rpm", "spm"}
_PER_SECOND = re.compile(rf"(?:{_BEATS})?/(?:s|sec|sek|second)")
_PER_SECOND_WORDS = {"hz", "hertz", "s-1", "bps"}
_SECONDS = {
    "s": 1.0, "sec": 1.0, "secs": 1.0, "sek": 1.0, "second": 1.0, "seconds": 1.0, "sekunden": 1.0,
    "秒": 1.0, "ms": 1e-3, "msec": 1e-3, "msecs": 1e-3, "millis": 1e-3, "milliseconds": 1e-3,
    "ミリ秒": 1e-3, "毫秒": 1e-3, "us": 1e-6, "μs": 1e-6, "usec": 1e-6, "microseconds": 1e-6,
    "ns": 1e-9, "nanoseconds": 1e-9, "min": 60.0, "mins": 60.0, "minutes": 60.0, "minuten": 60.0,
    "1/1024s": 1 / 1024, "s/1024": 1 / 1024, "1/1024sec": 1 / 1024, "1/1000s": 1e-3,
    "h": 3600.0, "hours": 3600.0,
}  # fmt: skip
# Of what is called like a heart rate and is none: its share, the power of its variability.
_OTHERS = {
    "%", "ms2", "s2", "ms2/hz", "nu", "pu", "au", "w", "watt", "watts", "dbm", "db", "mmhg", "kcal",
    "kj", "m", "km", "km/h", "mph", "m/s", "c", "°c", "°f", "g", "kg", "mv", "v",
}  # fmt: skip
_LEFT_OUT = str.maketrans({"^": "", ".": "", "\u2212": "-"})
_CLOCK = re.compile(r"[hmsf]+(?::[hmsf]+)+(?:[.,][a-z0-9]+)?")


@dataclass(frozen=True)
class Unit:
    """A unit and what a value in it is worth: in beats a minute, or in seconds."""

    measures: Literal["rate", "time", "time of day", "something else"]
    worth: float = 1.0


def unit_of(text: str) -> Unit | None:
    """The unit that `text` is, such as 'S/min', 'Hz' or '1/1024 s'; None if it is none."""
    bare = _bare(text)
    if bare in _PER_MINUTE_WORDS or _PER_MINUTE.fullmatch(bare):
        return Unit("rate")
    if bare in _PER_SECOND_WORDS or _PER_SECOND.fullmatch(bare):
        return Unit("rate", 60.0)
    if bare in _SECONDS:
        return Unit("time", _SECONDS[bare])
    if bare in _OTHERS:
        return Unit("something else")
    return Unit("time of day") if _CLOCK.fullmatch(bare) else None


def _bare(text: str) -> str:
    """Without accents, blanks and full stops, and with powers written out."""
    folded = unicodedata.normalize("NFKD", text.casefold().replace("²", "2").replace("⁻¹", "-1"))
    letters = (c for c in folded if not unicodedata.combining(c) and not c.isspace())
    return "".join(letters).translate(_LEFT_OUT)
