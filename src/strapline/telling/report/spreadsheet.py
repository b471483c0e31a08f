"""`figures.csv`: every figure of every session for who works with a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import pandas as pd

from strapline.ground.files import write_text
from strapline.ground.words import in_words, plain
from strapline.method.metrics.registry import METRICS
from strapline.telling.report.data import FORMULA

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance

KEYS = ["session", "recording"]
# Of a figure; more digits than anybody needs, and no more than a column is wide.
DECIMALS = 3


def spreadsheet(
    metrics: pd.DataFrame,
    sessions: pd.DataFrame,
    placements: pd.DataFrame,
    labels: Mapping[Any, str],
    tolerance: Tolerance,
) -> pd.DataFrame:
    """A row a recording that METRICS has figures of, the earliest first: what it is of, then a
    column a figure under the name that pages have for it.

    `metrics` of whole sessions in one view; `sessions` under SESSIONS, with wearers as they are
    called in what may be published; `placements` under PLACEMENTS.
    """
    own = metrics.astype(dict.fromkeys((*KEYS, "device", "activity", "metric"), str))
    values = own.pivot_table(index=KEYS, columns="metric", values="value", observed=True)
    values = values.reindex(columns=[metric.key for metric in METRICS])
    values.columns = [metric.titled(tolerance) for metric in METRICS]
    of = own.drop_duplicates(KEYS)[[*KEYS, "device", "activity"]]
    where = placements[[*KEYS, "placement", "firmware"]].astype(dict.fromkeys(KEYS, str))
    who = sessions[["session", "wearer", "started_at", "minutes"]].astype({"session": str})
    table = of.merge(where, on=KEYS, how="left").merge(who, on="session", how="left")
    table = table.merge(values.round(DECIMALS).reset_index(), on=KEYS, how="left")
    table = table.sort_values(["started_at", *KEYS], kind="stable")
    told = {
        "Session": table["session"],
        "Begun, UTC": table["started_at"].dt.strftime("%Y-%m-%d %H:%M"),
        "Activity": table["activity"].map(in_words),
        "Wearer": table["wearer"].astype(str),
        "Device": [plain(labels.get(name, name)) for name in table["device"]],
        "Placement": table["placement"].astype(str).str.replace("_", " "),
        "Firmware": table["firmware"],
        "Minutes": table["minutes"].round(1),
    }
    return pd.DataFrame(told).join(table[list(values.columns)])


def write_spreadsheet(rows: pd.DataFrame, path: str) -> None:
    """As UTF-8 that spreadsheets know as such; no text is a formula to them."""
    inert = rows.apply(_inert) if len(rows) else rows
    write_text(path, "\ufeff" + inert.to_csv(index=False, lineterminator="\n"))


def _inert(column: pd.Series) -> pd.Series:
    if pd.api.types.is_numeric_dtype(column):
        return column
    return column.where(column.isna(), column.astype(str).str.replace(FORMULA, r"'\1", regex=True))
