"""A traced figure in words, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import Any

import pandas as pd

from strapline.ground.files import sha256_of
from strapline.ground.records.intake import RecordingIntake
from strapline.ground.versions import told as made_with
from strapline.ground.vocabulary import VIEWS, Flag, Scope
from strapline.ground.words import exact, in_words, number, plain, shift
from strapline.keeping.tracing.figure import Second, Side, TracedFigure
from strapline.keeping.tracing.kept import KeptSession
from strapline.keeping.tracing.recompute import outcome

WIDTH = 96
INDENT = 10
MOST = 3
# Sections that change how results look or which words are known, not what a figure is.
UNTOLD = ("headings", "activities", "presentation", "palette")
LEGEND = "r is the reference’s and d the device’s heart rate in the same second"


def lines_of(figure: TracedFigure) -> Iterator[str]:
    """The whole account, line by line."""
    yield from _title(figure)
    yield ""
    yield from item("Formula", f"{formula_text(figure)}; {LEGEND}")
    yield from item("Source", figure.metric.source)
    yield from item("Interval", _interval(figure))
    yield ""
    for place, told in enumerate(settings_told(figure.settings)):
        yield from item("" if place else "Settings", told)
    for place, told in enumerate(made_with(figure.versions)):
        yield from item("" if place else "Versions", told)
    yield from item("Clock", _clock(figure))
    yield from item("Seconds", _seconds(figure))
    yield ""
    yield f"Rows of sessions/{figure.kept.session}/aligned.parquet, and what each is made of:"
    for second in figure.seconds:
        yield from _second(second)
    if not figure.seconds:
        yield "  None: no second enters this figure."
    yield ""
    yield "Raw files, by SHA-256:"
    for entry in filter(None, (figure.kept.intake.reference, figure.entry)):
        yield from raw_file(figure.kept, entry)
    yield ""
    yield from textwrap.wrap(verdict(figure), WIDTH)


def formula_text(figure: TracedFigure) -> str:
    return figure.metric.reckoned(figure.near.beats, figure.near.percent)


def verdict(figure: TracedFigure) -> str:
    """Whether the figure came out the same by a short path."""
    published = figure.published["value"]
    if figure.again is None:
        return (
            "Not computed a second way, for there is no simple one to this figure; in "
            f"metrics.parquet: {exact(published)}."
        )
    return outcome(published, figure.again, "the rows", "metrics.parquet")


def _title(figure: TracedFigure) -> Iterator[str]:
    row = figure.published
    label = figure.metric.named(figure.near.beats, figure.near.percent)
    unit = "" if row["unit"] == "1" else f" {row['unit']}"
    yield from textwrap.wrap(
        f"{label} ({row['metric']}) of {plain(figure.entry.label)} in {row['session']}: "
        f"{number(row['value'], decimals=3)}{unit}",
        WIDTH,
    )
    yield f"Scope {plain(row['scope'])}, clocks {VIEWS[row['alignment']]}."


def _interval(figure: TracedFigure) -> str:
    low, high = figure.published["ci_low"], figure.published["ci_high"]
    if pd.isna(low):
        return "none: the time is too short, too few seconds are independent, or it has none"
    ends = f"{number(low, decimals=3)} to {number(high, decimals=3)}"
    return f"{ends}; {figure.metric.interval.words}"


def settings_told(by_stage: Mapping[str, Mapping[str, Mapping[str, Any]]]) -> Iterator[str]:
    """A line a stage: what was set when it made what the figure rests on, each once."""
    said: set[str] = set()
    for stage, sections in by_stage.items():
        told = [
            f"{name} ({', '.join(f'{key} {value}' for key, value in settings.items())})"
            for name, settings in sections.items()
            if name not in UNTOLD
        ]
        new = [each for each in told if each not in said]
        said.update(told)
        if new:
            yield f"{stage}: {'; '.join(new)}"


def _clock(figure: TracedFigure) -> str:
    clock = figure.kept.clock(figure.entry.recording)
    taken = clock.in_view(figure.published["alignment"])
    return f"{shift(taken.offset_s)} added to the device’s times. {plain(clock.reason)}"


def _seconds(figure: TracedFigure) -> str:
    row = figure.published
    (tally,) = [
        one.seconds
        for one in figure.kept.ledger.comparisons
        if (one.recording, one.alignment) == (row["recording"], row["alignment"])
    ]
    reasons = [f"{in_words(why).lower()} {count}" for why, count in tally.left_out.items()]
    out = f" ({', '.join(reasons)})" if reasons else ""
    whole = (
        f"{tally.total} in the session: {tally.used} compared, {tally.total - tally.used} left "
        f"out{out}"
    )
    if row["scope"] == Scope.WHOLE:
        return whole
    return f"{whole}; {figure.in_scope} in the scope, of which {figure.entering} enter the figure"


def _second(second: Second) -> Iterator[str]:
    apart = number(second.device - second.reference, plus=True, decimals=2)
    special = f"  ({second.special})" if second.special else ""
    yield from _wrapped(
        f"row {second.row}, {second.time:%Y-%m-%d %H:%M:%S} UTC: r "
        f"{number(second.reference, decimals=2)}, d {number(second.device, decimals=2)}, d − r "
        f"{apart}{special}",
        2,
    )
    for side, letter in zip(second.sides, ("r", "d"), strict=True):
        yield from made_of(side, letter)


def made_of(side: Side, letter: str) -> Iterator[str]:
    """The values of one side, and the samples that they are made of."""
    values = [
        f"{number(value, decimals=2)} at {_clock_time(time)}"
        for value, time in side.values[["heart_rate_bpm", "time"]].itertuples(index=False)
    ]
    yield from _wrapped(f"{letter} from {', '.join(few(values))} by its own clock", 6)
    kind = "RR intervals" if "rr_ms" in side.samples else "samples"
    samples = [_sample(row) for row in side.samples.to_dict("records")]
    yield from _wrapped(f"{kind} of {plain(side.entry.file)}: {'; '.join(few(samples))}", 8)


def _sample(row: Mapping[Hashable, Any]) -> str:
    at = row["time"] if not pd.isna(row["time"]) else f"{exact(row['elapsed_s'])} s"
    when = _clock_time(at) if isinstance(at, pd.Timestamp) else at
    left_out = "" if row["use"] == Flag.KEPT else f", {in_words(str(row['use'])).lower()}"
    value = f"{row['rr_ms']:g} ms" if "rr_ms" in row else f"{row['heart_rate_bpm']:g} bpm"
    return f"no. {row['ordinal']} at {when}, {value}{left_out}"


def _clock_time(time: pd.Timestamp) -> str:
    text = f"{time:%H:%M:%S.%f}"[:-3]
    return text.removesuffix(".000")


def few(items: Sequence[str]) -> list[str]:
    """All of them, or the first, how many more, and the last."""
    if len(items) <= 2 * MOST:
        return list(items)
    return [*items[:MOST], f"… {len(items) - MOST - 1} more …", items[-1]]


def raw_file(kept: KeptSession, entry: RecordingIntake) -> Iterator[str]:
    export = kept.export(entry)
    now = sha256_of(export)
    state = "not there any more" if now is None else "unchanged since it was read"
    if now is not None and now != entry.sha256:
        state = f"CHANGED since it was read: now {now}"
    yield f"  {entry.sha256}"
    yield from _wrapped(f"{plain(str(export))}, {state}", 4)


def item(name: str, text: str) -> list[str]:
    """A named paragraph."""
    return textwrap.wrap(
        text, WIDTH, initial_indent=name.ljust(INDENT), subsequent_indent=" " * INDENT
    )


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + 2)
    )
