"""Gather figures: the figures of some sessions -> one file and its CSV; whole sessions apart."""

from strapline.agreement.scopes import WHOLE
from strapline.agreement.shared_seconds import BESIDE
from strapline.files import written_whole
from strapline.report.data import write_csv
from strapline.tables.sessions import METRICS, WHOLE_SESSIONS


def run(*, metrics: list[str], part_metrics: str, part_whole: str, part_values: str) -> None:
    METRICS.gather(metrics, part_metrics)
    with written_whole(part_values) as unfinished, unfinished.open("wb") as file:
        write_csv([part_metrics], METRICS, file)
    figures = METRICS.read(part_metrics)
    scope = figures["scope"].astype(str)
    WHOLE_SESSIONS.write(figures[(scope == WHOLE) | scope.str.startswith(BESIDE)], part_whole)
