"""Text in Markdown."""

import re

from strapline.ground.words import plain


def literal(text: str) -> str:
    """Words from files as Markdown shows them, not as it reads them."""
    return re.sub(r"([\\`*_\[\]<>|#&])", r"\\\1", plain(text))
