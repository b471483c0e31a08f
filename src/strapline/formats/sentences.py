"""What is said of files that are broken, in the same words whatever the format."""

NO_FORMAT = (
    "The file is not in a format Strapline reads (FIT, TCX, GPX, CSV with headings, or one RR "
    "interval a line); export the session again in one of them."
)

NO_TIMES = "The file states no times Strapline can read; export the session again with times."


def counted(count: int, noun: str) -> str:
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"


def broken_off(count: int) -> str:
    return f"The file breaks off after {counted(count, 'record')}; what came before is used."


def nothing_recorded(is_broken: bool) -> str:
    if is_broken:
        return "The file is broken off or damaged before its first record; export it again."
    return "The file holds no records; export the session itself, not a summary or settings."
