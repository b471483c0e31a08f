"""What of the demo's results is kept in the repository, small and the same to the byte.

python -m strapline.demo.excerpt results/demo results_demo
"""

import sys
from pathlib import Path

from strapline.charts.render import pixels
from strapline.files import write_bytes
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
SHOWN_DEVICE = "thimble-band"


def write_excerpt(results: Path, folder: Path) -> None:
    """Write the archive's tables as CSV, its charts, and those of some sessions and a device."""
    (folder / "charts").mkdir(parents=True, exist_ok=True)
    for table in TABLES:
        frame = table.read(results / "archive" / f"{table.name}.parquet")
        if table is METRICS:
            frame = frame[frame["scope"] == "whole"]
        # Six digits are more than any figure here means, and the same on every processor.
        frame.to_csv(
            folder / f"{table.name}.csv", index=False, float_format="%.6g", lineterminator="\n"
        )
    shown = {f"{session}-": results / "sessions" / session / "charts" for session in SHOWN_SESSIONS}
    shown |= {f"{SHOWN_DEVICE}-": results / "archive" / "devices" / SHOWN_DEVICE}
    for prefix, charts in {"": results / "archive" / "charts", **shown}.items():
        for chart in sorted(charts.glob("*.svg")):
            drawing = pixels(chart.read_text("utf-8"))
            write_bytes(folder / "charts" / f"{prefix}{chart.stem}.png", drawing)


if __name__ == "__main__":
    write_excerpt(Path(sys.argv[1]), Path(sys.argv[2]))
