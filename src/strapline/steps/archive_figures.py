"""Archive figures: gathered figures -> the archive's."""

from strapline.tables.sessions import METRICS


def run(*, part_metrics: list[str], metrics: str) -> None:
    METRICS.gather(part_metrics, metrics)
