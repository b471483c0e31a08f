"""Intake: card, register and what the exports say of themselves -> roles, devices, clocks."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.digest import sha256_of
from strapline.documents import DocumentError
from strapline.files import write_model, write_text
from strapline.session.card import Card, load_card
from strapline.session.devices import Register
from strapline.session.draft import draft_card
from strapline.session.inference import describe
from strapline.session.parsed import ParsedExport
from strapline.session.span import span_of
from strapline.tables.recordings import BEATS, SAMPLES
from strapline.tables.table import about

if TYPE_CHECKING:
    from strapline.settings import Activities, Clock


def run(
    *,
    samples: list[str],
    beats: list[str],
    card: list[str],
    intake: str,
    draft: str,
    session: str,
    title: str,
    register: str,
    clock: Clock,
    activities: Activities,
) -> None:
    """`card` holds one path or none; `register` is the part of the device register that this
    session may use, as JSON."""
    exports = [_parsed(*pair) for pair in zip(samples, beats, strict=True)]
    stated, mistakes = _card(card)
    known = Register.model_validate(json.loads(register))
    described = describe(
        session, title, exports, stated, known, clock.time_zone, activities.root, mistakes
    )
    read = sha256_of(card[0]) if card else None
    write_model(intake, described.model_copy(update={"card_sha256": read}))
    write_text(draft, draft_card(described))


def _card(paths: list[str]) -> tuple[Card, list[str]]:
    try:
        return (load_card(paths[0]) if paths else Card()), []
    except DocumentError as error:
        return Card(), error.mistakes


def _parsed(samples: str, beats: str) -> ParsedExport:
    frame = SAMPLES.read(samples)
    first, last = span_of(frame["time"]) or (None, None)
    return ParsedExport(
        recording=Path(samples).name.removesuffix(".parsed.parquet"),
        first=first,
        last=last,
        has_rate=bool((frame["heart_rate_bpm"] > 0).any()),
        has_beats=len(BEATS.read(beats)) > 0,
        **about(samples),
    )
