"""What of the demo's results is kept in the repository, small and the same to the byte.

python -m strapline.running.excerpt results/demo results_demo
"""

import sys
from collections.abc import Iterator
from pathlib import Path

from strapline.ground.documents import load
from strapline.ground.files import write_bytes
from strapline.ground.settings import Settings
from strapline.ground.tables.archive import DEVICES, NOTICES, SESSIONS, STANDINGS
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope
from strapline.telling.charts.picture import Picture, read_all
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.drawings.frame import ACROSS, in_frame
from strapline.telling.drawings.render import pixels

TABLES = (SESSIONS, DEVICES, STANDINGS, NOTICES)

# Every picture of a session in which a sensor loses the pulse under grip, and the traces of one
# in which a sensor locks on to the steps and of one with a clock an hour off.
SHOWN = {
    "2026-03-28-strength-mira": [chart.name for chart in SESSION_CHARTS],
    "2026-04-02-run-mira": ["traces"],
    "2026-04-09-strength-oskar": ["traces"],
}
SHOWN_DEVICE = "thimble-band"
SCALE = 2 / 3
SETTINGS = "config/demo/settings.yaml"


def write_excerpt(results: Path, folder: Path) -> None:
    """Write the archive's tables as CSV, the method, the archive's charts, and those of some
    sessions and a device."""
    (folder / "charts").mkdir(parents=True, exist_ok=True)
    archive = results / "archive"
    frames = {table.name: table.read(archive / f"{table.name}.parquet") for table in TABLES}
    parts = sorted((archive / "metrics").glob("*.parquet"))
    frames["metrics"] = METRICS.read(parts, scope=[Scope.WHOLE])
    for name, frame in frames.items():
        # Six digits are more than any figure here means, and the same on every processor.
        frame.to_csv(folder / f"{name}.csv", index=False, float_format="%.6g", lineterminator="\n")
    write_bytes(folder / "method.md", (results / "report" / "method.md").read_bytes())
    settings = load(SETTINGS, Settings)
    look = (ACROSS, settings.palette, settings.presentation.credit)
    for name, picture, called in _pictures(results):
        drawing = in_frame(name, picture, *look)
        if drawing:
            write_bytes(folder / "charts" / f"{called}.png", pixels(drawing, SCALE))


def _pictures(results: Path) -> Iterator[tuple[str, Picture, str]]:
    """Each picture that is kept, by its name, and what it is called here."""
    for name, picture in read_all(results / "archive" / "charts").items():
        yield name, picture, name
    for name, picture in read_all(results / "archive" / "devices" / SHOWN_DEVICE).items():
        yield name, picture, f"{SHOWN_DEVICE}-{name}"
    for session, wanted in SHOWN.items():
        for name, picture in read_all(results / "sessions" / session / "charts").items():
            if name in wanted:
                yield name, picture, f"{session}-{name}"


if __name__ == "__main__":
    write_excerpt(Path(sys.argv[1]), Path(sys.argv[2]))
