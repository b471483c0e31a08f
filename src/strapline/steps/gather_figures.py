"""Gather figures: the figures of some sessions -> one file."""

from strapline.tables.sessions import METRICS


def run(*, metrics: list[str], part_metrics: str) -> None:
    METRICS.gather(metrics, part_metrics)
