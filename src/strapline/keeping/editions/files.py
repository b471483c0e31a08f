"""What the files of an edition, and the one beside them all, are called: known without the figures
that they hold, for every run looks at them."""

RECORD, MOVED = "edition.json", "changes.parquet"
OWN, PARTS = "published.parquet", "parts"
LAST = "in_force.json"
