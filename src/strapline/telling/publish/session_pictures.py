"""All pictures of a session that are published: its page's, the worst fault, and frames that build
up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from strapline.telling.charts.build_up import BUILD_UP, DIFFERENCES, build_up
from strapline.telling.charts.close_up import CLOSE_UP
from strapline.telling.charts.picture import Picture
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.charts.traces import TRACES
from strapline.telling.publish.folder import asked_for, is_asked
from strapline.telling.session_tables import SessionTables

if TYPE_CHECKING:
    from strapline.ground.settings import Publish


def session_pictures(
    tables: SessionTables, bench: Sequence[str], asked: Publish
) -> dict[str, Picture]:
    """Those `asked` for, by name."""
    found = asked_for([*SESSION_CHARTS, CLOSE_UP], tables, bench, asked)
    traces = found.get(TRACES.name) or TRACES.of(tables, bench)
    if is_asked(BUILD_UP, asked):
        found |= build_up(traces, tables.headed(TRACES.question))
    if is_asked(DIFFERENCES, asked) and traces.content:
        found[DIFFERENCES] = traces
    return {name: picture for name, picture in found.items() if picture.content}
