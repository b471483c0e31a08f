"""Every contract, in the order in which tables are told of."""

from pathlib import PurePath

from strapline.ground.tables import archive, editions, recordings, sessions
from strapline.ground.tables.table import Table

CONTRACTS = (
    recordings.SAMPLES,
    recordings.BEATS,
    recordings.NORMALISED,
    recordings.CHANNELS,
    sessions.ALIGNED,
    sessions.OFFSETS,
    sessions.METRICS,
    sessions.WHOLE_SESSIONS,
    sessions.DIFFERENCES,
    archive.STANDINGS,
    archive.APPS,
    archive.FINDINGS,
    archive.COMPARISONS,
    archive.PAIRED,
    archive.FIRMWARE,
    archive.FAULTS,
    archive.CONDITIONS,
    archive.SESSIONS,
    archive.PLACEMENTS,
    archive.DEVICES,
    archive.NOTICES,
    sessions.EPISODES,
    sessions.COURSES,
    sessions.SENTENCES,
    sessions.CONSEQUENCES,
    sessions.STATED,
    editions.PUBLISHED,
    editions.CHANGES,
)

BY_NAME = {table.name: table for table in CONTRACTS}

# The archive's tables that a reader can take away: each one file, or a folder of parts.
PUBLIC = tuple(table.name for table in CONTRACTS if table.is_public and not table.in_parts)
IN_PARTS = tuple(table.name for table in CONTRACTS if table.is_public and table.in_parts)


def contract_of(path: PurePath) -> Table | None:
    """The contract of the table at a path of the results; None if no table belongs there.

    A table is called by its contract; where it is kept in parts, the folder of them is, and those
    of raw files are called by their content. (Sessions and parts may have any name.)
    """
    if path.parts[-4:-3] == ("sessions",):
        return recordings.BEATS if path.name.endswith(".beats.parquet") else recordings.SAMPLES
    kept_in_parts = path.parts[-3:-2] == ("archive",)
    return BY_NAME.get(path.parent.name if kept_in_parts else path.stem)
