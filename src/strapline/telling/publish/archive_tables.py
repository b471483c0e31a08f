"""The figures that go with what is published of the archive and of a pair, as rows and as tables
in Markdown."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import pandas as pd

from strapline.ground.settings import Tolerance
from strapline.ground.words import in_words, number, plain
from strapline.method.metrics import registry
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.publish.tables import cell, crossed, lined
from strapline.telling.report.standings import standing_rows as told

_FIGURES = ("bias", "maximum_difference", "mae", "within_beats", "within_percent")


def standing_rows(archive: ArchiveTables, tolerance: Tolerance) -> pd.DataFrame:
    """A row an activity, device and figure: the mean of its sessions, and what it rests on."""
    metrics = [metric for metric in registry.METRICS if metric.key in _FIGURES]
    rows = [
        {
            "activity": in_words(row.activity),
            "device": plain(row.label),
            "figure": metric.titled(tolerance),
            "value": row.mean(metric.key),
            "sessions": row.sessions,
            "wearers": row.wearers,
            "said": number(row.mean(metric.key), metric.plus, metric.decimals),
            "recording": row.device,
            "at": row.activity,
        }
        for row in told(archive.standings, archive.faults, archive.labels)
        for metric in metrics
        if not math.isnan(row.mean(metric.key))
    ]
    names = ["activity", "device", "figure", "value", "sessions", "wearers"]
    return pd.DataFrame(rows, columns=[*names, "said", "recording", "at"])


def standing_markdown(rows: pd.DataFrame) -> str:
    """Of each activity a table: devices down, figures across."""
    parts = []
    for at in dict.fromkeys(rows["at"]):
        own = rows[rows["at"] == at]
        table = crossed(own, ("recording", "device"), ("figure", "figure"), own["activity"].iloc[0])
        parts.append(table)
    return "\n".join(parts)


def pair_rows(pair: Mapping[str, Any]) -> pd.DataFrame:
    """A row an activity: which of the two was closer, by how much, and how often."""
    rows = [
        {
            "activity": in_words(row["activity"]),
            "closer": plain(row["closer"]),
            "closer_by_bpm": row["by"].value,
            "low": row["by"].low,
            "high": row["by"].high,
            "in_sessions": row["often"],
            "said": cell(row["by"].value, row["by"].low, row["by"].high, False),
        }
        for row in pair["rows"]
    ]
    names = ["activity", "closer", "closer_by_bpm", "low", "high", "in_sessions"]
    return pd.DataFrame(rows, columns=[*names, "said"])


def pair_markdown(rows: pd.DataFrame) -> str:
    """The same, activities down."""
    heads = ["Activity", "Closer", "Closer by, bpm", "In sessions"]
    body = rows[["activity", "closer", "said", "in_sessions"]].to_numpy(object).tolist()
    return lined(heads, body)
