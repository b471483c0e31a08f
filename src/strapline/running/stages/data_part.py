"""Data part: the archive's large tables, of some sessions -> each as CSV."""

from strapline.telling.report.data import write_csv


def run(*, tables: list[str], values: list[str]) -> None:
    for source, path in zip(tables, values, strict=True):
        write_csv(source, path)
