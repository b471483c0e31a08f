"""Gather figures: the figures of some sessions -> one file; those of whole sessions apart."""

from strapline.ground.tables.sessions import METRICS, WHOLE_SESSIONS
from strapline.method.agreement.scopes import WHOLE
from strapline.method.agreement.shared_seconds import BESIDE


def run(*, metrics: list[str], part_metrics: str, part_whole: str) -> None:
    METRICS.gather(metrics, part_metrics)
    figures = METRICS.read(part_metrics)
    scope = figures["scope"].astype(str)
    WHOLE_SESSIONS.write(figures[(scope == WHOLE) | scope.str.startswith(BESIDE)], part_whole)
