"""The bundled letters."""

from pathlib import Path

FONT = "Strapline Sans"
FONTS = Path(__file__).parent / "fonts"
WEIGHTS = {"Regular": 400, "SemiBold": 600}


def font_file(style: str) -> Path:
    """The bundled letters, in the style 'Regular' or 'SemiBold'."""
    return FONTS / f"{FONT.replace(' ', '')}-{style}.ttf"
