"""Whether builds, runs and pages got quicker: the program beside an earlier commit of it.

    cd tests && python -m benchmarks.before <commit> [sessions]

Both build the same invented sessions, in turns, for a machine may be quicker at one time than at
another; printed are, side by side, the seconds of a build and of runs after nothing, a session
more and a colour changed, and from opening a page in Chromium until its first picture is drawn and
until all are.
"""

import argparse
import contextlib
import shutil
import statistics
import subprocess
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from benchmarks.archive_run import REPOSITORY, run
from benchmarks.archive_sessions import write_session

TURNS = 2
CORES = 2
MINUTES = 45
COLOUR = 'palette: {band: "#dddddd"}\n'
PAGES = {"first page": "index.html", "session's page": "sessions/session-00000.html"}
# A picture that is not drawn yet has no SVG in it; one that is folded is not waited for.
DRAWN = """(which) => new Promise((done) => {
    const look = () => {
        const all = [...document.querySelectorAll("figure")].filter((one) => one.checkVisibility());
        const there = all.filter((one) => one.querySelector("svg, :scope > .note"));
        if (there.length >= (which === "first" ? 1 : all.length)) done(performance.now() / 1000);
        else requestAnimationFrame(look);
    };
    look();
})"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("commit")
    parser.add_argument("sessions", type=int, nargs="?", default=100)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        earlier = Path(folder, "earlier")
        worktree = ["git", "-C", str(REPOSITORY), "worktree"]
        subprocess.run([*worktree, "add", "--detach", earlier, options.commit], check=True)
        try:
            compare(Path(folder), options.sessions, {"earlier": earlier, "now": REPOSITORY})
        finally:
            subprocess.run([*worktree, "remove", "--force", earlier], check=True)


def compare(folder: Path, sessions: int, programs: dict[str, Path]) -> None:
    took: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        for turn in range(TURNS):
            for name, code in programs.items():
                for what, seconds in measured(folder / f"{name}-{turn}", sessions, code, browser):
                    took[what][name].append(seconds)
        browser.close()
    print(f"{sessions} sessions, s" + "".join(f"{name:>10}" for name in programs))
    for what, found in took.items():
        print(f"{what:<28}", *(f"{median(found[name]):>9}" for name in programs))


def median(seconds: list[float]) -> str:
    return f"{statistics.median(seconds):.2f}" if seconds else "unknown"


def measured(
    place: Path, sessions: int, code: Path, browser: Browser
) -> Iterator[tuple[str, float]]:
    for number in range(sessions):
        write_session(place / "inbox" / f"session-{number:05}", MINUTES)
    settings = place / "settings.yaml"
    settings.write_text("{}\n")
    yield "cold build", run(place, CORES, code=code).seconds
    yield "nothing changed", run(place, CORES, code=code).seconds
    write_session(place / "inbox" / f"session-{sessions:05}", MINUTES)
    yield "a session more", run(place, CORES, code=code).seconds
    settings.write_text(COLOUR)
    with contextlib.suppress(RuntimeError):  # where the earlier program knows no such setting
        yield "a colour changed", run(place, CORES, code=code).seconds
    for word, file in PAGES.items():
        for which in ("first", "all"):
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.goto((place / "results" / "report" / file).as_uri())
            if which == "all":  # also those that are far down
                page.evaluate("scrollTo(0, document.body.scrollHeight)")
            yield f"{word}, {which} drawn", page.evaluate(DRAWN, which)
            page.close()


if __name__ == "__main__":
    main()
