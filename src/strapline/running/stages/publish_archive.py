"""Publish archive: what all sessions give -> pictures, words and figures of the archive, of each
device and of each pair."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strapline.ground.report_files import ARCHIVE_PAGE, DEVICE_PAGE, PAIRS_PAGE
from strapline.method.claims.evidence import Policy
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.kept import kept_in
from strapline.telling.publish import archive_tables, sources, tables
from strapline.telling.publish.archive_text import archive_text, device_text, pair_text
from strapline.telling.publish.folder import asked_for, write_folder
from strapline.telling.publish.site import Addresses, foot
from strapline.telling.publish.text import Text
from strapline.telling.report.head_to_head import pairs, together
from strapline.telling.wearers import as_called

if TYPE_CHECKING:
    from strapline.ground import settings


def run(
    *,
    archive_folder: str,
    device_folders: str,
    pair_folders: str,
    bench: str,
    edition: str,
    renamed: str,
    tolerance: settings.Tolerance,
    presentation: settings.Presentation,
    publish: settings.Publish,
    palette: settings.Palette,
    criteria: settings.Criteria,
    equivalence: settings.Equivalence,
    claims: settings.Claims,
    over_all: settings.OverAll,
    **files: str,
) -> None:
    """Writes `archive_folder`, `device_folders`/<device>/ for every device that was compared, and
    `pair_folders`/<device>.<device>/ for every two that were worn together; `bench`: JSON list of
    the register's tested devices; `edition`: the fingerprint of what made the findings; `renamed`:
    JSON of the addresses of sessions that are not called by their names; `files`: the archive's
    tables."""
    made = ArchiveTables.read(files, kept_in(ArchiveTables))
    archive = Addresses(json.loads(renamed)).within(as_called(made, presentation))
    policy = Policy(claims, criteria, equivalence, tolerance, over_all)
    order: Sequence[str] = json.loads(bench)
    whole = sources.of_sessions("", archive.sessions, edition)
    rows = archive_tables.standing_rows(archive, tolerance)
    write_folder(
        Path(archive_folder),
        asked_for(ARCHIVE_CHARTS, archive, order, publish),
        rows,
        archive_tables.standing_markdown(rows),
        archive_text(archive, policy, presentation.title, whole),
        foot(presentation, ARCHIVE_PAGE),
        palette,
    )
    for folder in (device_folders, pair_folders):
        Path(folder).mkdir(parents=True, exist_ok=True)
    for device in archive.compared:
        own = DeviceTables(device, archive)
        rows = tables.device_rows(archive.findings, device)
        write_folder(
            Path(device_folders, device),
            asked_for(DEVICE_CHARTS, own, order, publish),
            rows,
            tables.device_markdown(rows),
            device_text(own, policy, edition),
            foot(presentation, DEVICE_PAGE.format(device)),
            palette,
        )
    for pair in pairs(archive.evidence(policy).duel_rows(archive.labels)):
        rows = archive_tables.pair_rows(pair)
        markdown = archive_tables.pair_markdown(rows)
        text = _pair_text(pair, archive, over_all, edition)
        credit = foot(presentation, PAIRS_PAGE)
        write_folder(Path(pair_folders, pair["name"]), {}, rows, markdown, text, credit, palette)


def _pair_text(
    pair: Mapping[str, Any], archive: ArchiveTables, over_all: settings.OverAll, edition: str
) -> Text:
    """Over the sessions of both."""
    worn = archive.worn.groupby("session")["device"].agg(set)
    both = worn.index[[set(pair["devices"]) <= devices for devices in worn]]
    held = archive.sessions[archive.sessions["session"].isin(both)]
    both_did = together(archive, over_all, *pair["devices"])
    return pair_text(pair, both_did, sources.of_sessions("", held, edition))
