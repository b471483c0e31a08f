"""What an export gives away is in nothing that is made of it.

Exports hold names, e-mail addresses, serial numbers and positions. What is published, printed,
drawn, tabled or handed over holds none of it; only the name of a raw file stands where it is
needed to find that file again.
"""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fnmatch import fnmatch

import pytest
from project import Project

from canaries.exports import FORMATS
from canaries.forms import forms_of
from canaries.marks import FILE_NAME, Marks
from canaries.search import ITS_PATH, Search

DEVICES = """\
devices:
  strap: {label: Plain strap, kind: chest_strap}
  grey-watch: {label: Grey watch, kind: wrist}
  blue-band: {label: Blue band, kind: wrist}
  green-ring: {label: Green ring, kind: finger}
  red-band: {label: Red band, kind: arm}
"""
# The device of each format on the card; the unreadable one is not on it.
ON_CARD = {
    "fit": "strap",
    "tcx": "grey-watch",
    "gpx": "blue-band",
    "json": "green-ring",
    "csv": "red-band",
}
PLACEMENTS = {
    "strap": "chest",
    "grey-watch": "left_wrist",
    "blue-band": "right_wrist",
    "green-ring": "other",
    "red-band": "left_arm",
}
WITH_CARD, WITHOUT_CARD, LOOSE = "2026-03-02 intervals", "2026-03-04 easy run Zephyrine", ""
STARTS = {
    WITH_CARD: datetime(2026, 3, 2, 18, 5, tzinfo=UTC),
    WITHOUT_CARD: datetime(2026, 3, 4, 7, 30, tzinfo=UTC),
    LOOSE: datetime(2026, 3, 6, 18, 5, tzinfo=UTC),
}
HOLDS = {
    WITH_CARD: tuple(FORMATS),
    WITHOUT_CARD: ("fit", "tcx", "gpx", "txt"),
    LOOSE: ("fit", "json", "csv", "txt"),
}
SESSIONS = ("2026-03-02-intervals", "2026-03-04-easy-run-zephyrine", "2026-03-06-1805")

# Where the name of a raw file may stand: where it is needed to find that file again.
NAMED_IN = (
    "results/sessions/*/intake.json",
    "results/sessions/*/session.draft.yaml",
    "results/receipts/*",
    "results/report/sessions/*.origin.html",
    # Notes that save time, and what a run tells whoever started it.
    "results/raw_files.json",
    "results/loose.json",
    "results/heads.json",
    "results/settled.json",
    "results/told.json",
    "snakemake --cores *",
    "results/packages/*.zip",
    "strapline trace *",
)

# The wearer of one session, whose name is in the title of another that has no card.
WEARER = "zephyrine"
BODY = "{maximum_bpm: 187.613, resting_bpm: 51.173, age_years: 41.373, weight_kg: 67.319}"


@dataclass(frozen=True)
class Export:
    folder: str
    format: str
    marks: Marks

    @property
    def file(self) -> str:
        return f"{self.marks.file_stem}.{self.format}"

    def write(self, project: Project, later: int = 0) -> None:
        """Put it into the inbox, with all its times so many seconds later."""
        path = project.folder / "inbox" / self.folder / self.file
        path.parent.mkdir(parents=True, exist_ok=True)
        start = STARTS[self.folder] + timedelta(seconds=later)
        path.write_bytes(FORMATS[self.format](self.marks, start))


def exports():
    pairs = [(folder, kind) for folder, kinds in HOLDS.items() for kind in kinds]
    return [
        Export(folder, kind, Marks(number, f"{folder or 'loose'}/{kind}"))
        for number, (folder, kind) in enumerate(pairs)
    ]


def card(given):
    lines = ["activity: intervals", f"wearer: {WEARER}", f"body: {BODY}", "recordings:"]
    for export in given:
        if (device := ON_CARD.get(export.format)) and export.folder == WITH_CARD:
            role = ", role: reference" if device == "strap" else ""
            placement = PLACEMENTS[device]
            told = f"file: {export.file}, device: {device}, placement: {placement}{role}"
            lines.append(f"  - {{{told}}}")
    return "\n".join([*lines, "notes: windy", ""])


@pytest.fixture(scope="module")
def bench(with_looks, tmp_path_factory, repository):
    """A project in which everything was asked for, and what each command printed."""
    project = Project(with_looks(tmp_path_factory.mktemp("bench")), repository)
    for export in exports():
        export.write(project)
    (project.folder / "inbox" / WITH_CARD / "session.yaml").write_text(card(exports()), "utf-8")
    (project.folder / "config" / "devices.yaml").write_text(DEVICES, "utf-8")
    printed = {}

    def ask(*commands):
        printed.update({words: project.command(*words.split()) for words in commands})

    ask("snakemake --cores 2 --dry-run", "snakemake --cores 2", "strapline verify")
    # An export is replaced, so that there is something to say of what changed.
    next(export for export in exports() if export.format == "csv").write(project, later=1)
    ask("snakemake --cores 2 --dry-run all", "snakemake --cores 2 all")
    ask("snakemake --cores 2 publish", "strapline plan")
    ask(f"strapline trace {SESSIONS[0]} grey-watch mae")
    ask(*(f"strapline package {session}" for session in SESSIONS))
    return project, printed


def all_hits(project, printed):
    search = Search(form for export in exports() for form in forms_of(export.marks))
    for name in ("results", ".snakemake"):
        yield from search.in_folder(project.folder / name, name)
    for name, text in printed.items():
        yield from search.in_file(text.encode(), name)


def allowed(hit):
    return (
        hit.canary.what == FILE_NAME
        and hit.place != ITS_PATH
        and any(fnmatch(hit.file, pattern) for pattern in NAMED_IN)
    )


def test_everything_was_made(bench):
    project, _ = bench
    results = project.results
    report = results / "report"
    for session in SESSIONS:
        assert (report / "sessions" / f"{session}.html").is_file()
        assert (report / "sessions" / f"{session}.origin.html").is_file()
        assert (results / "packages" / f"{session}.zip").is_file()
        address = session.removesuffix(f"-{WEARER}")
        assert (results / "publish" / "sessions" / address).is_dir()
    for device in ON_CARD.values():
        assert device == "strap" or (report / "devices" / f"{device}.html").is_file()
    assert list((results / "publish" / "devices").iterdir())
    assert list((results / "publish").rglob("figures.csv"))
    assert len(list((results / "editions").glob("0*"))) == 2


def test_nothing_an_export_gives_away_is_in_what_is_made_of_it(bench):
    hits = {hit for hit in all_hits(*bench) if not allowed(hit)}
    assert not hits, "\n".join(sorted(map(str, hits)))


def test_nobody_is_named_in_what_is_published(bench):
    """Nor is anything of a body said there. The site's addresses are clean as well."""
    results = bench[0].results
    private = [WEARER, *re.findall(r"\d+\.\d+", BODY)]
    public = [path for path in (results / "publish").rglob("*") if path.is_file()]
    public += [results / "report" / name for name in ("head-to-head.html", "method.html")]
    public += [results / "report" / "sessions" / f"{SESSIONS[0]}.html"]
    public += (results / "report" / "data").rglob("*.csv")
    texts = (".html", ".txt", ".md", ".json", ".csv", ".js", ".svg")
    for path in filter(lambda path: path.suffix in texts, public):
        text = path.read_text("utf-8").lower()
        # In the report, a table's key and an address are the tester's own name for the session.
        for session in () if "publish" in path.parts else SESSIONS:
            text = text.replace(session, "")
        assert not [word for word in private if word in text], path
    names = [path.name.lower() for path in (results / "publish").rglob("*")]
    assert {"2026-03-04-easy-run.html", "2026-03-04-easy-run"} <= {*names}
    assert not [name for name in names if WEARER in name]
