"""Gather figures: the figures of some sessions -> one file; those of whole sessions apart."""

from strapline.agreement.scopes import WHOLE
from strapline.agreement.shared_seconds import BESIDE
from strapline.tables.sessions import METRICS, WHOLE_SESSIONS


def run(*, metrics: list[str], part_metrics: str, part_whole: str) -> None:
    METRICS.gather(metrics, part_metrics)
    figures = METRICS.read(part_metrics)
    scope = figures["scope"].astype(str)
    WHOLE_SESSIONS.write(figures[(scope == WHOLE) | scope.str.startswith(BESIDE)], part_whole)
