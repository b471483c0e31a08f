"""What of the demo's results is kept in the repository, small and the same to the byte.

python -m strapline.demo.excerpt results/demo results_demo
"""

import shutil
import sys
from pathlib import Path

from strapline.tables.archive import DEVICES, NOTICES, SESSIONS, STANDINGS
from strapline.tables.sessions import METRICS

TABLES = (SESSIONS, DEVICES, STANDINGS, NOTICES, METRICS)

# One session each that shows a sensor losing the pulse under grip, one locking on to the steps,
# and a clock an hour off.
SHOWN_SESSIONS = (
    "2026-03-28-strength-mira",
    "2026-04-02-run-mira",
    "2026-04-09-strength-oskar",
)


def write_excerpt(results: Path, folder: Path) -> None:
    """Write the archive's tables as CSV, its chart, and the charts of a few sessions."""
    (folder / "charts").mkdir(parents=True, exist_ok=True)
    for table in TABLES:
        frame = table.read(results / "archive" / f"{table.name}.parquet")
        if table is METRICS:
            frame = frame[frame["scope"] == "whole"]
        # Six digits are more than any figure here means, and the same on every processor.
        frame.to_csv(
            folder / f"{table.name}.csv", index=False, float_format="%.6g", lineterminator="\n"
        )
    for chart in sorted((results / "archive" / "charts").iterdir()):
        shutil.copyfile(chart, folder / "charts" / chart.name)
    for session in SHOWN_SESSIONS:
        for chart in sorted((results / "sessions" / session / "charts").glob("*.png")):
            shutil.copyfile(chart, folder / "charts" / f"{session}-{chart.name}")


if __name__ == "__main__":
    write_excerpt(Path(sys.argv[1]), Path(sys.argv[2]))
