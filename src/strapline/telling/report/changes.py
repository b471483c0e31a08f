"""The page of changes: what moved since the edition before, largest first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from strapline.ground.report_files import CHANGES_PAGE
from strapline.ground.settings import Tolerance
from strapline.ground.tables.archive import called, in_session
from strapline.ground.vocabulary import ALL_ACTIVITIES, Clocks
from strapline.ground.words import MISSING, counted, in_words, listed, number
from strapline.method.metrics import registry
from strapline.telling.report.faults import kind_name
from strapline.telling.report.page import Context, Page

MOST_SHOWN = 12

# In the order in which they are told; a figure of any other unit is printed to a thousandth.
TENTHS = ("bpm", "%", "s", "min", "min/h")

STATISTICS = {
    "mean": "mean of sessions",
    "median": "median session",
    "difference": "difference",
    "balanced": "difference, wrists balanced",
    "closer": "share of sessions in which the first was closer",
    "p_family": "p over all pairs",
    "change": "change with the firmware",
}
# Of FINDINGS; what has no words here, and no metric's name, is told by its own.
FOUND = {
    "bias_next_session": "Bias of a further session",
    "bias_next_wearer": "Bias in a session of a further wearer",
    "bias_over_wearers": "Bias over people",
    "bias_furthest": "Bias at the activity where it is largest",
    "bias_apart": "Bias, between the activities that differ most",
    "mae_mean": "Mean absolute error, mean of sessions",
    "mape_median": "Mean absolute error, relative, median session",
    "mape_lowest": "Mean absolute error, relative, lowest",
    "mape_highest": "Mean absolute error, relative, highest",
    "met_mape": "Sessions that meet the criterion of error",
    "met_within": "Sessions that meet the criterion of time within",
    "met_concordance": "Sessions that meet the criterion of concordance",
    "failing": "Sessions that failed",
    "equivalence": "Bias, as held against the margin",
    "slope": "Slope on heart rate",
}
# What people read of each table: the others are for who checks.
_READ = ("bias", "maximum_difference", "mae", "within_beats", "within_percent")
READ = {"metrics": ("mean_device", *_READ), "standings": tuple(f"mean_{name}" for name in _READ)}
COMPOSED = ("standings", "comparisons", "firmware")


@dataclass(frozen=True)
class Moved:
    """A row of CHANGES as it is printed; `size` is how far the figure moved, and `read` whether
    people read it: averages, errors and shares rather than limits."""

    session: str
    about: str
    figure: str
    before: str
    after: str
    size: float
    unit: str
    why: str
    read: bool
    meaning: tuple[str, str] | None

    @property
    def in_print(self) -> bool:
        return self.before != self.after

    @property
    def value_moved(self) -> bool:
        """Whether the figure is printed otherwise, and not its interval alone."""
        return self.before.partition(" (")[0] != self.after.partition(" (")[0]

    @property
    def order(self) -> tuple[Any, ...]:
        """What a reader acts on first, and of that the largest moves."""
        place = TENTHS.index(self.unit) if self.unit in TENTHS else len(TENTHS)
        return not self.read, place, -self.size, self.about, self.figure


def context(
    table: pd.DataFrame,
    editions: Sequence[Mapping[str, Any]],
    labels: Mapping[Any, str],
    tolerance: Tolerance,
    corrected: int = 0,
) -> Context:
    """What the template shows of a frame under CHANGES and of the editions, oldest first;
    `corrected`: how many corrections there are."""
    rows = [{str(k): v for k, v in row.items()} for row in table.to_dict("records")]
    moved = [row for row in rows if row["change"] == "moved"]
    printed = as_printed(moved, labels, tolerance)
    redefined = [row for row in rows if row["change"] == "redefined"]
    others = [row for row in as_printed(redefined, labels, tolerance) if row.read]
    reworded = [row for row in rows if row["change"] == "reworded"]
    reworded.sort(key=lambda row: row["activity"] != ALL_ACTIVITIES)
    why = editions[-1]["why"]
    return {
        "lead": lead(editions, len(printed)),
        "why": why,
        "whys_differ": any(row["why"] != why for row in rows),
        "same_as": editions[-1]["same_as"],
        "claims": [_worded(row, labels) for row in reworded if not row["session"]],
        "sentences": [_worded(row, labels) for row in reworded if row["session"]],
        "of_archive": [row for row in printed if not row.session],
        "of_sessions": [row for row in printed if row.session],
        "corrected": corrected,
        "unseen": len(moved) - len(printed),
        "meanings": sorted({row.meaning for row in others}),
        "others": [row for row in others if not row.session],
        "others_of_sessions": [row for row in others if row.session],
        "new": _counted(rows, "new"),
        "gone": _counted(rows, "gone"),
        "most": MOST_SHOWN,
        "editions": [_edition(edition) for edition in reversed(editions)],
    }


def as_printed(
    moved: Sequence[Mapping[str, Any]], labels: Mapping[Any, str], tolerance: Tolerance
) -> list[Moved]:
    """Those rows of CHANGES whose figure is printed otherwise now, in order of use."""
    found = (_moved(row, labels, tolerance) for row in moved)
    return sorted((row for row in found if row.in_print), key=lambda row: row.order)


def lead(editions: Sequence[Mapping[str, Any]], printed: int) -> str:
    """How many figures and sentences changed, and how many of them as they are printed."""
    if len(editions) == 1:
        return (
            "This is the first edition kept: there is nothing to compare with. What moves from "
            "here on will be told on this page."
        )
    now, counts = editions[-1]["number"], editions[-1]["moved"]
    moved, others = counts["moved"], counts.get("redefined", 0)
    told = [
        f"{counted(moved, 'figure')} moved, {_some(printed)} of them as printed" if moved else "",
        f"{counted(others, 'figure')} {'are others' if others > 1 else 'is another'} now, by "
        "another tolerance"
        if others
        else "",
        f"{counted(counts['reworded'], 'sentence')} changed" if counts["reworded"] else "",
        f"{_are(counts['new'])} new" if counts["new"] else "",
        f"{_are(counts['gone'])} gone" if counts["gone"] else "",
    ]
    parts = "; ".join(filter(None, told)) or "nothing moved"
    return f"From edition {editions[-2]['number']} to edition {now}: {parts}."


def _some(count: int) -> str:
    return {0: "none", 1: "one"}.get(count, str(count))


def _are(count: int) -> str:
    return "one figure or sentence is" if count == 1 else f"{count} figures and sentences are"


def _moved(row: Mapping[str, Any], labels: Mapping[Any, str], tolerance: Tolerance) -> Moved:
    is_other = row["change"] == "redefined"
    return Moved(
        session=row["session"],
        about=_about(row, labels),
        figure=_figure(row, tolerance),
        before=_printed(row, "before"),
        after=_printed(row, "after"),
        size=abs(row["after"] - row["before"]) if _both_known(row) else 0.0,
        unit=row["unit"],
        why=row["why"],
        read=row["figure"] in READ.get(row["place"], ()) and row["alignment"] != Clocks.DELAY_OUT,
        meaning=(row["wording_before"], row["wording_after"]) if is_other else None,
    )


def _both_known(row: Mapping[str, Any]) -> bool:
    return bool(pd.notna(row["before"]) and pd.notna(row["after"]))


def _worded(row: Mapping[str, Any], labels: Mapping[Any, str]) -> dict[str, Any]:
    return {
        "session": row["session"],
        "about": _about(row, labels),
        "before": row["wording_before"] or "nothing",
        "after": row["wording_after"] or "nothing",
        "why": row["why"],
    }


def _about(row: Mapping[str, Any], labels: Mapping[Any, str]) -> str:
    """'Grey watch against Blue band, run': what a figure or a sentence speaks of."""
    at = in_session(row["session"]) if row["session"] else row["activity"]
    device = called(labels, row["device"], at)
    if row["recording"] not in ("", row["device"]):
        device = f"{device} ({row['recording']})"
    if row["against"]:
        with_word = "with firmware" if "→" in row["against"] else "against"
        device = f"{device} {with_word} {called(labels, row['against'], at)}"
    activity = row["activity"]
    done = activity if activity == ALL_ACTIVITIES else in_words(activity)
    return ", ".join(part for part in (row["session"], device, done) if part)


def _figure(row: Mapping[str, Any], tolerance: Tolerance) -> str:
    name, statistic = row["figure"], ""
    if row["place"] == "faults":
        return f"Time in the hour, {kind_name(name.removeprefix('minutes_per_hour_')).lower()}"
    if row["place"] in COMPOSED:
        for prefix, meaning in STATISTICS.items():
            if name.startswith(f"{prefix}_"):
                name, statistic = name.removeprefix(f"{prefix}_"), meaning
    known = registry.found(name)
    if not known and row["place"] == "findings":
        bare = name.removesuffix("_p")
        own = FOUND.get(bare) or in_words(bare)
        return own if bare == name else f"p of: {own.lower()}"
    label = known.named(tolerance.beats, tolerance.percent) if known else in_words(name)
    late = "without its delay" if row["alignment"] == Clocks.DELAY_OUT else ""
    parts = (label, statistic, late)
    return ", ".join(part for part in parts if part)


def _printed(row: Mapping[str, Any], when: str) -> str:
    """'3.3 bpm (2.9 to 3.7)', to the decimals that pages show."""
    unit = "" if row["unit"] in ("", "1") else f" {row['unit']}"
    decimals = 1 if row["unit"] in TENTHS else 3
    if pd.isna(row[when]):
        return MISSING
    value = f"{number(row[when], decimals=decimals)}{unit}"
    ends = [row[f"low_{when}"], row[f"high_{when}"]]
    if pd.isna(ends).any():
        return value
    return f"{value} ({' to '.join(number(end, decimals=decimals) for end in ends)})"


def _counted(rows: Sequence[Mapping[str, Any]], kind: str) -> list[str]:
    """'third: 62 figures and 4 sentences', sessions first, then the archive."""
    found: dict[str, list[int]] = {}
    for row in rows:
        if row["change"] == kind:
            is_sentence = pd.notna(row["wording_before"]) or pd.notna(row["wording_after"])
            found.setdefault(row["session"], [0, 0])[is_sentence] += 1
    return [
        f"{session or 'Over the sessions'}: "
        + listed(
            [
                counted(count, thing)
                for count, thing in zip(found[session], ("figure", "sentence"), strict=True)
                if count
            ]
        )
        for session in sorted(found, key=lambda session: (session == "", session))
    ]


def _edition(edition: Mapping[str, Any]) -> dict[str, Any]:
    return {**edition, "files": f"../editions/{edition['folder']}"}


CHANGES = Page(CHANGES_PAGE, "changes_page", "changes.html", context, word="Changes")
