"""Questions that the page Data answers, each with a program that reads the archive."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Query:
    """`reads`: the library that it is written for; `code` runs in the folder of the project."""

    question: str
    reads: str
    code: str


QUERIES = (
    Query(
        "How far off is each device, by activity?",
        "pandas",
        """\
import pandas as pd

metrics = pd.read_parquet("results/archive/metrics")
print(
    metrics.query("metric == 'mae' and scope == 'whole'")
    .groupby(["device", "activity", "alignment"], observed=True)["value"]
    .describe()
)
""",
    ),
    Query(
        "For how many seconds was each device more than 30 bpm off?",
        "DuckDB",
        """\
import duckdb

print(
    duckdb.sql(\"\"\"
        SELECT device, count(*) AS seconds
        FROM 'results/sessions/*/aligned.parquet'
        WHERE alignment = 'settled' AND status = 'compared'
          AND abs(device_bpm - reference_bpm) > 30
        GROUP BY device ORDER BY device
    \"\"\")
)
""",
    ),
    Query(
        "In how many sessions did each device show each fault, and for how long?",
        "Polars",
        """\
import polars as pl

faults = pl.read_parquet("results/archive/episodes/*.parquet")
print(
    faults.with_columns(pl.col("device", "kind").cast(pl.String))
    .group_by("device", "kind")
    .agg(
        pl.col("session").n_unique().alias("sessions"),
        (pl.col("end_s") - pl.col("start_s")).sum().alias("seconds"),
    )
    .sort("device", "kind")
)
""",
    ),
)
