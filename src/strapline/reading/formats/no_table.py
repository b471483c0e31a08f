"""Why a text is no table that can be read: what was found in it, what is missing, what to do."""

import re
from collections.abc import Sequence

from strapline.ground.words import listed
from strapline.reading.formats import sentences
from strapline.reading.formats.export import UndecidedExport, UnreadableExport
from strapline.reading.formats.heading import RATES, TIMES, Meaning
from strapline.reading.formats.heading_row import HeadingRow
from strapline.reading.formats.heading_words import BRACKETS, without_unit
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.reader import NO_FORMAT
from strapline.reading.formats.table_times import read_times

# As a toolkit writes out the messages of a FIT file: its kind, its number and its fields in turn.
_FIT_AS_TEXT = re.compile(r"(?i)^\W*type\W+local (?:number|message)\W.*\bfield 1\b.*\bvalue 1\b")
_CALLED = {
    Meaning.TIME: "times",
    Meaning.DATE: "dates",
    Meaning.ELAPSED: "times elapsed",
    Meaning.HEART_RATE: "heart rates",
    Meaning.CADENCE: "cadence",
    Meaning.RR: "RR intervals",
    Meaning.SENSOR: "names of sensors",
    Meaning.UNIT: "units",
    Meaning.ZONE: "zones",
}


def what_is_missing(rows: Sequence[HeadingRow], preamble: Sequence[str], words: Headings) -> str:
    if any(_FIT_AS_TEXT.match(line[:500]) for line in preamble):
        return "This is a FIT file turned into text; give the .fit file itself."
    if not rows:
        return NO_FORMAT
    best = max(rows, key=likeness)
    if not best.are_words:
        return _no_headings(best) or NO_FORMAT
    lacking = []
    if not best.meanings & TIMES:
        lacking.append("time")
    if not best.meanings & RATES:
        lacking.append("heart rate")
    if unfit := _in_another_unit(best, words):
        return unfit
    known = listed([_CALLED[meaning] for meaning in sorted(best.meanings)])
    return " ".join(
        [
            f"The table has no {' and no '.join(lacking)} column Strapline knows; of its "
            f"{len(best.cells)} headings in line {best.line + 1} it knows "
            f"{f'those of {known}' if known else 'none'}. Type `strapline headings` to see the "
            "others, and add the right one under 'headings' in config/settings.yaml, or export the "
            "session again.",
            *_also(best),
        ]
    )


def _in_another_unit(row: HeadingRow, words: Headings) -> str | None:
    """A sentence where a heart rate is told in what is no rate, such as a share of the highest."""
    for place, text in enumerate(row.cells):
        stem, unit = without_unit(text)
        if "%" in text:
            stem = BRACKETS.sub(" ", text.replace("%", " "))
        is_other = unit is not None or "%" in text
        if is_other and not row.meanings & RATES and words.meaning_of(stem) == Meaning.HEART_RATE:
            return (
                f"The {sentences.placed(place)} of the table's {len(row.cells)} columns is a heart "
                "rate in a unit that is none of a rate, so no bpm can be told; export the session "
                "again with heart rates in bpm."
            )
    return None


def _also(row: HeadingRow) -> list[str]:
    """What would be asked next: which of day and month comes first."""
    below = row.columns_below(row.places_of(TIMES))
    try:
        read_times([(row.found[place], cells) for place, cells in below.items()], None)
    except UndecidedExport as undecided:
        return [str(undecided)]
    except UnreadableExport:
        pass
    return []


def _no_headings(row: HeadingRow) -> str | None:
    """A sentence for rows of numbers without a row of words above them."""
    widths = [line.count(row.delimiter) for line in row.text if line.strip()]
    if len(widths) < 3 or len(set(widths)) > 1:
        return None
    return (
        f"The file is a table of {len(row.cells)} columns without headings, not in a format "
        "Strapline reads: put a line with a heading for each above it, such as time and heart "
        "rate, or export the session again with headings."
    )


def likeness(row: HeadingRow) -> tuple[bool, bool, int, int, int]:
    """How much a row looks like headings: words at all, then a heart rate and other known words,
    then early."""
    words = row.are_words
    return (
        words,
        bool(row.meanings & RATES),
        len(row.meanings),
        len(row.cells) if words else 0,
        -row.line,
    )
