"""The note that lies in a new inbox: what belongs there. It is no export."""

from pathlib import Path

from strapline.ground.files import write_text

NAME = "WHAT-GOES-HERE.txt"
TEXT = """\
Make a folder here for each session, and put into it the file that each app exported:

  2026-03-05 run/strap.fit
  2026-03-05 run/grey-watch.gpx
  2026-03-05 run/blue-band.csv

Then type `snakemake` in the folder above. Strapline never changes your exports.
You may delete this note.
"""


def make_inbox(inbox: Path) -> None:
    """An inbox with nothing in it but the note. Raises OSError."""
    inbox.mkdir()
    write_text(inbox / NAME, TEXT)
