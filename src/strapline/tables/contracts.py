"""Every contract, in the order in which the stages make the tables."""

from strapline.tables.archive import (
    COMPARISONS,
    DEVICES,
    FINDINGS,
    FIRMWARE,
    NOTICES,
    SESSIONS,
    STANDINGS,
)
from strapline.tables.recordings import BEATS, NORMALISED, SAMPLES
from strapline.tables.sessions import (
    ALIGNED,
    CONSEQUENCES,
    COURSES,
    EPISODES,
    METRICS,
    OFFSETS,
    SENTENCES,
)

CONTRACTS = (
    SAMPLES,
    BEATS,
    NORMALISED,
    ALIGNED,
    OFFSETS,
    METRICS,
    STANDINGS,
    FINDINGS,
    COMPARISONS,
    FIRMWARE,
    SESSIONS,
    DEVICES,
    NOTICES,
    EPISODES,
    COURSES,
    SENTENCES,
    CONSEQUENCES,
)
