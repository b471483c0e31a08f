"""FIT: the binary format of sports watches and bike computers."""

from collections.abc import Iterable
from typing import BinaryIO, TypeVar

import numpy as np

from strapline.ground.vocabulary import FileClock
from strapline.reading.formats import columns, sentences
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import Export, Hints, UnreadableExport, refuse_beyond
from strapline.reading.formats.fit_messages import FitStream, is_fit
from strapline.reading.formats.fit_part import FIRST_DATE, WANTED, Part
from strapline.reading.formats.fit_rates import DEVELOPER, MEMORY, RECORDS, joined, numbered
from strapline.reading.formats.heading import Meaning
from strapline.reading.formats.headings import Headings

_Fact = TypeVar("_Fact")

FIT_EPOCH_S = 631_065_600
_BY_A_DEVELOPER = (
    "The heart rates stand in a field that an app added to the records, which have none of "
    "their own; they may be another sensor's."
)
_REPEATED = "A field that an app added to the records repeats their heart rate; it is read once."


def recognises(file: BinaryIO, _words: Headings) -> bool:
    return is_fit(file)


def read(file: BinaryIO, words: Headings, _hints: Hints) -> Export:
    """Every record, RR interval and heart-rate message of all files chained in `file`.

    Heart rates of records, of a day's monitoring, of a strap's memory and of fields of developers'
    own are streams apart, and so are those of records that name different sensors. Cadence is in
    steps a minute for running and walking, else in turns a minute. What a broken
    file holds before the break is used. Raises UnreadableExport where that is nothing.
    """
    file.seek(0)
    stream = FitStream(file.read(), WANTED, lambda name, unit: _is_heart_rate(words, name, unit))
    parts = _parts(stream)
    if not any(part.rows.keys or part.rr_ms for part in parts):
        raise UnreadableExport(sentences.nothing_recorded(stream.is_broken))
    rows = joined([part.rows for part in parts])
    count = rows.codes.size
    refuse_beyond(max(count, sum(len(part.rr_ms) for part in parts)))
    sensors = {i: sensor for part in parts for i, sensor in part.device.sensors.items()}
    streams_of_rows, streams = numbered(rows, sensors)
    ends = np.concatenate([reals(part.rr_ends) for part in parts])
    dated, undated = _told_apart(rows.times)
    beats_dated, beats_undated = _told_apart(ends)
    has_dates = bool(np.isfinite(dated).any() or np.isfinite(beats_dated).any())
    kinds = {key.kind for key in rows.with_rates}
    return Export(
        format="fit",
        clock=FileClock.UTC if has_dates else FileClock.ELAPSED,
        samples=columns.samples(
            rows.rates,
            times_ms=_unix_ms(dated),
            elapsed_s=_since(undated, undated),
            cadence=np.concatenate([part.cadence() for part in parts]),
            speed=np.concatenate([part.way().speed_m_s(part.rows["time"]) for part in parts]),
            power=np.concatenate([part.rows["power"] for part in parts]),
            stream=streams_of_rows,
        ),
        beats=columns.beats(
            [rr for part in parts for rr in part.rr_ms],
            _unix_ms(beats_dated),
            None if np.isnan(beats_undated).all() else _since(beats_undated, undated),
        ),
        streams=streams,
        utc_offset_s=_first(part.utc_offset_s for part in parts),
        firmware=_first(part.device.firmware for part in parts),
        external_sensor=_first(part.device.external_sensor for part in parts),
        lap_starts_ms=tuple(
            (start + FIT_EPOCH_S) * 1000 for part in parts for start in part.lap_starts
        ),
        satellite=any(part.way().moves() for part in parts),
        broken_off=sentences.broken_off(stream.is_broken, count),
        remarks=(
            *([_REPEATED] if any(part.rows.repeated for part in parts) else []),
            *_remarks(stream, sum(part.clock.restarts for part in parts)),
            *sentences.before_the_date(undated if has_dates else np.array([]), count),
            *([_BY_A_DEVELOPER] if DEVELOPER in kinds and not kinds & {RECORDS, MEMORY} else []),
        ),
    )


def _parts(stream: FitStream) -> list[Part]:
    parts: list[Part] = []
    for message in stream:
        if message is None:
            parts.append(Part())
        else:
            parts[-1].take(message)
    return parts


def _is_heart_rate(headings: Headings, name: str, unit: str) -> bool:
    """Apps add figures that are made from heart rates, and call them after those."""
    found = headings.read(name)
    return (
        found is not None
        and found.meaning == Meaning.HEART_RATE
        and (found.is_exact or unit.casefold() == "bpm")
    )


def _remarks(stream: FitStream, restarts: int) -> Iterable[str]:
    if stream.wrong_checksums:
        yield "The file's checksum is wrong: some of its values may be damaged."
    if restarts:
        yield (
            "The sum of the RR intervals and the file's clock came apart "
            f"{sentences.counted(restarts, 'time')}, where beats are missing or false; "
            "the clock was followed."
        )


def _unix_ms(times: Reals) -> Reals:
    return (times + FIT_EPOCH_S) * 1000


def _told_apart(times: Reals) -> tuple[Reals, Reals]:
    """The times that are dates, and those that count from when the device was switched on."""
    is_date = times >= FIRST_DATE
    return np.where(is_date, times, np.nan), np.where(times < FIRST_DATE, times, np.nan)


def _since(times: Reals, firsts: Reals) -> Reals:
    """`times` since the first known of `firsts`, or else of their own."""
    known = firsts[np.isfinite(firsts)]
    known = known if known.size else times[np.isfinite(times)]
    return times - known[0] if known.size else times


def _first(values: Iterable[_Fact | None]) -> _Fact | None:
    return next((value for value in values if value is not None), None)
