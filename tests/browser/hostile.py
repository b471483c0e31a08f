"""A bench in which every word that people or files choose tries to be more than text."""

import json
from dataclasses import dataclass
from pathlib import Path

import yaml

# Each sets `hit` where it runs, or asks for `hit` where it is loaded. Short enough for a label,
# with a number before it.
ATTEMPTS = (
    "<script>hit=1</script>",
    "<svg onload=hit=1>",
    "</script><script>hit=1</script>",
    "<img src=hit onerror=hit=1>",
    "\"'><svg onload='hit=1'>",
    "<a href=javascript:hit=1>x</a>",
    "javascript:hit=1",
    "<style>*{background:url(hit)}",
    "</title></desc><svg onload=hit=1>",
    "]]>--><svg onload=hit=1>",
    "{{7*7}}{%x%}${hit=1}#{hit=1}",
    "\u202e<b>\u2066x",
    "&lt;script&gt;hit=1&#60;/script>",
)
# Only where there is more room.
LONG = (
    "<meta http-equiv=refresh content='0;url=hit'>",
    "<base href=hit/><link rel=stylesheet href=hit>",
    "<iframe srcdoc='<script>top.hit=1</script>'></iframe>",
    "<svg><script href=hit></script><image href=hit /><use href=hit#a /></svg>",
    "<form action=hit><button autofocus onfocus=hit=1>",
    "<details open ontoggle=hit=1><math><mi xlink:href=javascript:hit=1>",
    "\u2028\u2029\\u003cscript>hit=1\\x3c/script>",
)
# File names that are taken; braces and whole tags are not.
NAMES = tuple(ATTEMPTS[number] for number in (1, 3, 4, 6, 9))
DEVICES = ("strap", "watch", "band")
SECONDS = 390


@dataclass
class Attempts:
    """Gives out attempts in turn, each behind a mark by which it is found on the pages."""

    count: int = 0

    @property
    def marks(self) -> list[str]:
        return [_mark(number) for number in range(self.count)]

    def short(self) -> str:
        self.count += 1
        return _mark(self.count - 1) + ATTEMPTS[(self.count - 1) % len(ATTEMPTS)]

    def file_name(self) -> str:
        self.count += 1
        return _mark(self.count - 1) + NAMES[(self.count - 1) % len(NAMES)]

    def long(self) -> str:
        self.count += 1
        return _mark(self.count - 1) + LONG[(self.count - 1) % len(LONG)]

    def all(self) -> str:
        self.count += 1
        return _mark(self.count - 1) + " ".join((*ATTEMPTS, *LONG))


def _mark(number: int) -> str:
    return f"w{number:02}"


def write_bench(folder: Path) -> list[str]:
    """Give a project such an inbox, register and settings; the marks that its pages must show."""
    attempts = Attempts()
    presentation = {"title": f"{attempts.short()}{ATTEMPTS[8]}", "credit": attempts.long()}
    _write_yaml(folder / "config" / "settings.yaml", {"presentation": presentation})
    devices = {
        device: {"label": attempts.short(), "kind": "wrist" if number else "chest_strap"}
        for number, device in enumerate(DEVICES)
    }
    _write_yaml(folder / "config" / "devices.yaml", {"devices": devices})
    _with_card(folder / "inbox" / f"\"'><svg onload=hit=1>{'M' * 150}", attempts)
    _without_card(folder / "inbox" / "<img src=hit onerror=hit=1>", attempts)
    _refused(folder / "inbox" / "javascript:hit=1", attempts)
    return attempts.marks


def _with_card(folder: Path, attempts: Attempts) -> None:
    folder.mkdir(parents=True)
    files = {device: f"{attempts.file_name()}.csv" for device in DEVICES}
    for number, name in enumerate(files.values()):
        (folder / name).write_text(_table("time,heart_rate", 4, 3 * number), "utf-8")
    # What stands in an export is not quoted, so nothing marks it.
    (folder / "left over.csv").write_text(f"{ATTEMPTS[0]},{ATTEMPTS[2]}\n1,2\n", "utf-8")
    recordings = [
        {"file": name, "device": device, "firmware": attempts.short()}
        for device, name in files.items()
    ]
    recordings[0]["role"] = "reference"
    card = {
        "activity": "ride",
        "wearer": "ada",
        "recordings": recordings,
        "segments": [
            {"label": attempts.short(), "from": 30 * number, "to": 30 * number + 30}
            for number in range(len(ATTEMPTS))
        ],
        "exclude": [
            {"from": 10 * number, "to": 10 * number + 3, "reason": attempts.long()}
            for number in range(len(LONG))
        ],
        "conditions": {"surface": attempts.short(), "strap": attempts.long()},
        "notes": attempts.all(),
    }
    _write_yaml(folder / "session.yaml", card)


def _without_card(folder: Path, attempts: Attempts) -> None:
    """Exports whose own words are all there is to name devices and the activity by."""
    folder.mkdir(parents=True)
    (folder / "strap.csv").write_text(_table("time,heart_rate", 5, 0), "utf-8")
    rows = [line.split(",") for line in _table("", 5, 4).split()]
    samples = [{"time": time, "heart_rate": int(rate)} for time, rate in rows]
    told = {"name": ATTEMPTS[3], "manufacturer": ATTEMPTS[2], "model": ATTEMPTS[1]}
    export = {"sport": ATTEMPTS[0], "title": LONG[0], "device": told, "samples": samples}
    (folder / f"{attempts.file_name()}.json").write_text(json.dumps(export), "utf-8")


def _refused(folder: Path, attempts: Attempts) -> None:
    """Names that no page shows, and a card that is told as a mistake, with the words that are
    wrong in it."""
    folder.mkdir(parents=True)
    for attempt in ("<script>", "{{7*7}}", "\u202e"):
        (folder / f"refused{attempt}.csv").write_text("time\n", "utf-8")
    card = {attempts.short(): 1, "conditions": {attempts.short(): attempts.all()}}
    (folder / f"{attempts.file_name()}.csv").write_text(" ".join(ATTEMPTS), "utf-8")
    _write_yaml(folder / "session.yaml", card)


def _table(heading: str, day: int, moved: int) -> str:
    rows = (
        f"2026-03-{day:02}T10:{second // 60:02}:{second % 60:02}Z,"
        f"{100 + (second * 7 // 10) % 40 + moved}"
        for second in range(SECONDS)
    )
    return "\n".join([heading, *rows, ""]).lstrip()


def _write_yaml(path: Path, content: object) -> None:
    path.write_text(yaml.safe_dump(content, allow_unicode=False, sort_keys=False), "utf-8")
