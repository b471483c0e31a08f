"""What a tester says and pastes of all sessions, of one device and of two: the sentences of the
report's pages, as many as there is room for."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from strapline.ground.settings import Tolerance
from strapline.ground.vocabulary import ALL_ACTIVITIES, Verdict
from strapline.ground.words import bpm, counted, in_words, number, percent, plain
from strapline.method.claims.evidence import Policy
from strapline.method.episodes.spoken import in_breaths
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.publish import sources
from strapline.telling.publish.text import MOST_WORDS, WORDS_A_MINUTE, Text, chosen
from strapline.telling.report import archive as first_page
from strapline.telling.report import device as device_page
from strapline.telling.report.standings import Standing, leads


def archive_text(tables: ArchiveTables, policy: Policy, title: str, rests_on: str) -> Text:
    """How closely each device follows the strap, and which of two is closer."""
    page = first_page.context(tables, policy, {})
    pairs = tables.evidence(policy).duel_rows(tables.labels)
    duels = [row["claim"].sentence for row in pairs if row["activity"] == ALL_ACTIVITIES]
    over_all = [row for row in page["standings"] if row.over_all]
    depends = {row["device"] for row in page["findings"] if row["verdict"] == Verdict.DEPENDS}
    # A mean over activities that differ is no device's.
    told = [row for row in page["standings"] if row.over_all != (row.device in depends)]
    figures = _of_standings(told if over_all else page["standings"], policy.tolerance, True)
    named = page["over_all"] if over_all else ""
    return _text(title, [*page["leads"], named, *duels], figures, rests_on)


def device_text(tables: DeviceTables, policy: Policy, edition: str) -> Text:
    """How closely it follows the strap, what goes wrong with it, what is claimed of it, and over
    which activities."""
    page = device_page.context(tables, policy, {})
    over_all = [said for at, said in page["claims"] if at == ALL_ACTIVITIES]
    told = over_all or [said for _, said in page["claims"][:1] if len(page["claims"]) == 1]
    claims = [claim.sentence for said in told for claim in said]
    named = page["over_all"] if over_all else ""
    said = [page["lead"], *page["apps"], *claims[:1], *page["faults"].sentences, named, *claims[1:]]
    depends = any(claim.verdict == Verdict.DEPENDS for said in over_all for claim in said)
    rows = [row for row in page["standings"] if not (row.over_all and depends)]
    figures = _of_standings(rows, policy.tolerance)
    rests_on = sources.of_sessions(tables.label, tables.own.sessions, edition)
    return _text(page["lead"].rstrip(".") or page["label"], said, figures, rests_on)


def pair_text(pair: Mapping[str, Any], standings: Sequence[Standing], rests_on: str) -> Text:
    """Which of two is closer, and how closely each follows the strap. pair: as `pairs` of the
    page Head to head has it; standings: those of the sessions of both."""
    rows = sorted(pair["rows"], key=lambda row: row["activity"] != ALL_ACTIVITIES)
    # Over one activity alone it is as at that one.
    rows = rows if len(rows) > 2 else rows[-1:]
    own = leads(standings, {})
    at_each = [
        f"{in_words(row['activity'])}: {row['sentence']}"
        for row in rows
        if row["activity"] != ALL_ACTIVITIES
    ]
    overall = [row["sentence"] for row in rows if row["activity"] == ALL_ACTIVITIES]
    figures = [
        f"{in_words(row['activity'])}: {plain(row['closer'])} closer by "
        f"{bpm(row['by'].value)}, in {row['often']} sessions"
        for row in rows
    ]
    title = " and ".join(map(plain, pair["labels"]))
    return _text(title, [*overall, *own, *at_each], figures, rests_on)


def _text(title: str, said: Iterable[str], figures: Sequence[str], rests_on: str) -> Text:
    sentences = [plain(sentence) for sentence in said if sentence]
    return Text(
        title=plain(title),
        description=chosen([sentences], MOST_WORDS),
        aloud=chosen([list(map(in_breaths, sentences))], WORDS_A_MINUTE),
        figures=tuple(figures),
        sources=rests_on,
    )


def _of_standings(
    rows: Sequence[Standing], tolerance: Tolerance, by_device: bool = False
) -> list[str]:
    found = []
    for row in (row for row in rows if row.sessions):
        what = f"{plain(row.label)}, {in_words(row.activity).lower()}"
        name = what if by_device else in_words(row.activity)
        off = _both(row, "bias"), _both(row, "maximum_difference")
        sessions = counted(row.sessions, "session")
        sessions += f", {row.as_stated} as its app states" if row.as_stated else ""
        said = f"{name} ({sessions}): average {off[0]}, maximum {off[1]}"
        if not math.isnan(row.error):
            within = f"within {tolerance.beats:g} bpm for {number(row.mean('within_beats'))} %"
            within += (
                f" and within {tolerance.percent:g} % for {number(row.mean('within_percent'))} %"
            )
            said += f", error {bpm(row.error)}, {within} of the time"
        if not math.isnan(row.faults):
            said += f", {number(row.faults)} faults a session"
        found.append(said)
    return found


def _both(row: Standing, metric: str) -> str:
    relative = percent(row.mean(f"{metric}_percent"), plus=True)
    return f"{bpm(row.mean(metric), plus=True)} ({relative})"
