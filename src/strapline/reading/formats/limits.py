"""How much of one file is read: enough for weeks of one sample a second, in bounded memory."""

from strapline.reading.formats.export import UnreadableExport

MOST_BYTES = 128 * 1024**2
MOST_RECORDS = 1_500_000
TOO_LONG = "The file holds more than any session could; export this session alone."


def refuse_beyond(records: int) -> None:
    """Raise UnreadableExport where a file holds more `records` than any session."""
    if records > MOST_RECORDS:
        raise UnreadableExport(TOO_LONG)
