"""What is kept of every edition of the results, and what moved from one to the next."""

from strapline.ground.tables.shared import ACTIVITY_OR_ALL, ALIGNMENT, DEVICE, UNIT
from strapline.ground.tables.table import REAL, TEXT, WORD, Column, Table, required

# What tells one figure from another; empty where it does not apply.
KEYS = (
    required("place", WORD, "Table the figure stands in, or 'claims'"),
    required("session", WORD, "Session, of figures of one session"),
    DEVICE,
    required("recording", WORD, "Recording, of figures of one session"),
    required("against", TEXT, "The other device, or from which firmware to which"),
    ACTIVITY_OR_ALL,
    ALIGNMENT,
    required("figure", WORD, "Name of the figure, or of what is said"),
)
# The place of a correction, said of a session.
CORRECTIONS = "corrections"

KEY_NAMES = [column.name for column in KEYS]

PUBLISHED = Table(
    "published",
    "Every published figure, to nine digits, and every published sentence",
    (
        *KEYS,
        UNIT,
        Column("value", REAL, "The figure; missing for a sentence, and where it is not defined"),
        Column("low", REAL, "Lower end of its interval; of a median of sessions, the lowest"),
        Column("high", REAL, "Upper end of its interval; of a median of sessions, the highest"),
        Column("wording", TEXT, "The sentence"),
    ),
)

CHANGES = Table(
    "changes",
    "What moved from the edition before the last to the last, and why",
    (
        *KEYS,
        required("change", WORD, "'moved', 'redefined', 'reworded', 'new' or 'gone'"),
        UNIT,
        Column("before", REAL, "The figure in the edition before"),
        Column("low_before", REAL, "Lower end of its interval then"),
        Column("high_before", REAL, "Upper end of its interval then"),
        Column("after", REAL, "The figure in the last edition"),
        Column("low_after", REAL, "Lower end of its interval now"),
        Column("high_after", REAL, "Upper end of its interval now"),
        Column("wording_before", TEXT, "The sentence in the edition before"),
        Column("wording_after", TEXT, "The sentence in the last edition"),
        required("why", TEXT, "What changed that can account for it"),
    ),
)
