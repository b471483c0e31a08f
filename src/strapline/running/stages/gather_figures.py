"""Gather figures: the figures of some sessions -> one file; those of whole sessions apart."""

from strapline.ground.tables.sessions import DIFFERENCES, METRICS, STATED, WHOLE_SESSIONS
from strapline.ground.vocabulary import Scope


def run(
    *,
    metrics: list[str],
    differences: list[str],
    stated: list[str],
    part_metrics: str,
    part_whole: str,
    part_differences: str,
    part_stated: str,
) -> None:
    METRICS.gather(metrics, part_metrics)
    DIFFERENCES.gather(differences, part_differences)
    STATED.gather(stated, part_stated)
    figures = METRICS.read(part_metrics)
    scope = figures["scope"].astype(str)
    WHOLE_SESSIONS.write(
        figures[(scope == Scope.WHOLE) | scope.str.startswith((Scope.BESIDE, Scope.AGAINST))],
        part_whole,
    )
