"""What a file is called, without what changes from one export to the next."""

import re


def stem(file: str) -> str:
    """A file's name up to its first number: what follows is mostly a date. '' where it begins with
    one."""
    return re.split(r"[\d.]", file, maxsplit=1)[0].rstrip("-_ (")


def with_number(file: str) -> str:
    """Its stem with a number of one or two digits that stands right behind a letter: watch2. ''
    where it has none."""
    match = re.match(r"[^\d.]*[^\W\d_]\d{1,2}(?!\d)", file)
    return match.group() if match else ""
