"""The archive's tables that a reader can take away."""

# In the order in which they are told.
TABLES = (
    "standings",
    "findings",
    "comparisons",
    "firmware",
    "faults",
    "conditions",
    "sessions",
    "placements",
    "devices",
    "notices",
)
# And those with rows of every session: a folder each, with a file for every part.
IN_PARTS = ("metrics", "episodes", "courses", "sentences", "consequences")
