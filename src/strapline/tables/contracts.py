"""Every contract, in the order in which the stages make the tables."""

from pathlib import PurePath

from strapline.tables.archive import (
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
from strapline.tables.editions import CHANGES, PUBLISHED
from strapline.tables.recordings import BEATS, NORMALISED, SAMPLES
from strapline.tables.sessions import (
    ALIGNED,
    CONSEQUENCES,
    COURSES,
    EPISODES,
    METRICS,
    OFFSETS,
    SENTENCES,
    WHOLE_SESSIONS,
)
from strapline.tables.table import Table

CONTRACTS = (
    SAMPLES,
    BEATS,
    NORMALISED,
    ALIGNED,
    OFFSETS,
    METRICS,
    WHOLE_SESSIONS,
    STANDINGS,
    FINDINGS,
    COMPARISONS,
    FIRMWARE,
    SESSIONS,
    PLACEMENTS,
    DEVICES,
    NOTICES,
    EPISODES,
    COURSES,
    SENTENCES,
    CONSEQUENCES,
    FAULTS,
    CONDITIONS,
    PUBLISHED,
    CHANGES,
)

BY_NAME = {table.name: table for table in CONTRACTS}
RECORDINGS = {".parsed": SAMPLES, ".beats": BEATS, "": NORMALISED}


def contract_of(path: PurePath) -> Table | None:
    """The contract of the table at a path of the results; None if no table belongs there.

    A table is called by its contract, or if it is kept in parts, the folder of them is.
    """
    if path.parts[-4:-3] == ("sessions",) and path.parent.name == "recordings":
        return RECORDINGS.get(PurePath(path.stem).suffix)
    return BY_NAME.get(path.stem) or BY_NAME.get(path.parent.name)
