"""A session's results as the record that pictures and pages are made of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from strapline.ground.files import read_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import read_intake
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.tables.sessions import (
    ALIGNED,
    CONSEQUENCES,
    EPISODES,
    METRICS,
    OFFSETS,
    SENTENCES,
)
from strapline.telling.session_tables import SessionTables

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance

READ: Mapping[str, Callable[[str], Any]] = {
    "clocks": partial(read_model, kind=SessionAlignment),
    "ledger": partial(read_model, kind=SessionLedger),
    "aligned": ALIGNED.read,
    "metrics": METRICS.read,
    "offsets": OFFSETS.read,
    "episodes": EPISODES.read,
    "sentences": SENTENCES.read,
    "consequences": CONSEQUENCES.read,
}


def session_tables(
    files: Mapping[str, str], tolerance: Tolerance, needed: Iterable[str]
) -> SessionTables:
    """What is `needed` of the results in `files`, which go by the record's fields; the rest is
    without rows.

    Raises KeyError where the rule does not give what is needed.
    """
    nothing = SessionTables.without_rows(read_intake(files["intake"]), tolerance)
    return replace(nothing, **{name: READ[name](files[name]) for name in sorted(needed)})
