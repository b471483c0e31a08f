"""What a file is called, without what changes from one export to the next."""

import re


def stem(file: str) -> str:
    """A file's name up to its first number: what follows is mostly a date. '' where it begins with
    one."""
    return re.split(r"[\d.]", file, maxsplit=1)[0].rstrip("-_ (")
