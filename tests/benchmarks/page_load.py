"""How large the report's pages get with the archive, and how soon a browser has drawn them.

    python -m benchmarks.page_load [sessions]

Run in `tests/`; needs Chromium. Writes the pages of an invented archive of 8 devices and prints,
for each kind, its size and the time from opening it until it is drawn, at two widths.
"""

import shutil
import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from browser.invented_archive import Names, write_report

WIDTHS = (360, 1280)
TIMES = 3
# After the load event, two frames: the first has been drawn when the second is asked for.
DRAWN = """() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(
    () => done(performance.now()))))"""


def seconds_to_draw(page: Page, path: Path, width: int) -> float:
    page.set_viewport_size({"width": width, "height": 800})
    found = []
    for _ in range(TIMES):
        page.goto(path.as_uri())
        found.append(page.evaluate(DRAWN) / 1000)
    return statistics.median(found)


def main(sessions: int) -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        pages = write_report(Path(folder), sessions, Names())
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page()
        print(f"{sessions} sessions")
        print("page            kB", *(f"{width:>6} px, s" for width in WIDTHS))
        for path in pages[:6]:
            times = [f"{seconds_to_draw(page, path, width):>12.2f}" for width in WIDTHS]
            print(f"{path.stem:<14}{path.stat().st_size / 1000:>5.0f}", *times)
        browser.close()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
