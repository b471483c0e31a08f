"""Intake: card, register and what the exports say of themselves -> roles, devices, clocks."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.documents import DocumentError, load
from strapline.ground.files import sha256_of, write_model, write_text
from strapline.ground.records.card import FILE_NAME, Card
from strapline.ground.records.raw_tables import RawTables, raw_name
from strapline.ground.records.register import Register
from strapline.ground.records.wearers import Wearers
from strapline.ground.tables.recordings import FIRST_STREAM, first_of_file, length_s, of_stream
from strapline.ground.vocabulary import FileClock
from strapline.ground.wall_clock import unfolded
from strapline.reading.formats import read_identity
from strapline.reading.formats.export import Stream, facts_of
from strapline.reading.session.draft import draft_card
from strapline.reading.session.inference import describe
from strapline.reading.session.parsed import ParsedExport
from strapline.reading.session.span import clock_fault, span_of

if TYPE_CHECKING:
    from strapline.ground.settings import Activities, Clock

UNREADABLE = "The file cannot be opened or read; look whether the disk or its permissions let you."


def run(
    *,
    samples: list[str],
    beats: list[str],
    exports: dict[str, str],
    card: list[str],
    intake: str,
    draft: str,
    session: str,
    title: str,
    register: str,
    wearer: str,
    clock: Clock,
    activities: Activities,
) -> None:
    """`exports`: the raw files in order of name, each with its SHA-256, '' for one that cannot be
    read; `card` holds one path or none; `register` is the part of the device register that this
    session may use, and `wearer` that of the wearers, as JSON."""
    tables = RawTables(samples, beats)
    parsed = [
        stream for path, sha256 in exports.items() for stream in _streams(path, sha256, tables)
    ]
    stated, mistakes = _card(card)
    known = Register.model_validate(json.loads(register))
    in_folder = any(Path(path).parent.name == title for path in exports)
    described = describe(
        session,
        title,
        parsed,
        stated,
        known,
        clock.time_zone,
        activities.root,
        mistakes,
        f"inbox/{title}/{FILE_NAME}" if in_folder else f"inbox/{title}.yaml",
        Wearers.model_validate(json.loads(wearer)),
    )
    read = sha256_of(card[0]) if card else None
    write_model(intake, described.model_copy(update={"card_sha256": read}))
    write_text(draft, draft_card(described, clock.time_zone, known.devices))


def _card(paths: list[str]) -> tuple[Card, list[str]]:
    try:
        return (load(paths[0], Card) if paths else Card()), []
    except DocumentError as error:
        return Card(), error.mistakes


def _streams(path: str, sha256: str, tables: RawTables) -> Iterator[ParsedExport]:
    """Each heart rate that the file holds; one that is empty where it holds none."""
    file, raw = Path(path).name, raw_name(sha256)
    if not tables.hold(raw):
        yield ParsedExport(file=file, set_aside=UNREADABLE)
        return
    samples, beats, identity = tables.samples(raw), tables.beats(raw), read_identity(path)
    about = facts_of(tables.about(raw))
    first_s = first_of_file(samples, beats)
    told = {stream["number"]: Stream(**stream) for stream in about.pop("streams", [])}
    for stream in sorted({*samples["stream"], *beats["stream"]}) or [FIRST_STREAM]:
        own, rr = of_stream(samples, stream), of_stream(beats, stream)
        is_local = about.get("clock") == FileClock.LOCAL
        times = unfolded(own["time"]) if is_local else own["time"]
        first, last = span_of(times) or (None, None)
        yield ParsedExport(
            file=file,
            raw=raw,
            stream=int(stream),
            told=told.get(int(stream)),
            first_s=first_s,
            length_s=length_s(own) or length_s(rr),
            identity=identity,
            first=first,
            last=last,
            has_rate=bool((own["heart_rate_bpm"] > 0).any()),
            has_beats=len(rr) > 0,
            clock_fault=clock_fault(own["time"]) or clock_fault(rr["time"]),
            **about,
        )
