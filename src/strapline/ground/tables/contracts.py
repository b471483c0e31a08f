"""Every contract, in the order in which tables are told of."""

from pathlib import PurePath

from strapline.ground.tables.archive import (
    APPS,
    COMPARISONS,
    CONDITIONS,
    DEVICES,
    FAULTS,
    FINDINGS,
    FIRMWARE,
    NOTICES,
    PLACEMENTS,
    SESSIONS,
    STANDINGS,
)
from strapline.ground.tables.editions import CHANGES, PUBLISHED
from strapline.ground.tables.recordings import BEATS, CHANNELS, NORMALISED, SAMPLES
from strapline.ground.tables.sessions import (
    ALIGNED,
    CONSEQUENCES,
    COURSES,
    DIFFERENCES,
    EPISODES,
    METRICS,
    OFFSETS,
    SENTENCES,
    STATED,
    WHOLE_SESSIONS,
)
from strapline.ground.tables.table import Table

CONTRACTS = (
    SAMPLES,
    BEATS,
    NORMALISED,
    CHANNELS,
    ALIGNED,
    OFFSETS,
    METRICS,
    WHOLE_SESSIONS,
    DIFFERENCES,
    STANDINGS,
    APPS,
    FINDINGS,
    COMPARISONS,
    FIRMWARE,
    FAULTS,
    CONDITIONS,
    SESSIONS,
    PLACEMENTS,
    DEVICES,
    NOTICES,
    EPISODES,
    COURSES,
    SENTENCES,
    CONSEQUENCES,
    STATED,
    PUBLISHED,
    CHANGES,
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
        return BEATS if path.name.endswith(".beats.parquet") else SAMPLES
    kept_in_parts = path.parts[-3:-2] == ("archive",)
    return BY_NAME.get(path.parent.name if kept_in_parts else path.stem)
