"""A session's pictures as a package holds them: drawn, for who reads it in many years."""

from strapline.ground.report_files import THEME
from strapline.ground.settings import Settings
from strapline.keeping.packaging.package import Packaged
from strapline.keeping.receipts import Places, read_receipt, receipt_path
from strapline.telling.charts.picture import read_all
from strapline.telling.drawings.frame import ACROSS, in_frame
from strapline.telling.drawings.render import DRAWING, standing_alone


def drawings_of(places: Places, session: str) -> list[Packaged]:
    """Each picture of the session as SVG with its letters inside, in the report's colours."""
    receipt = read_receipt(receipt_path(places, f"results/report/{THEME}"))
    palette = Settings.model_validate(receipt.settings if receipt else {}).palette
    pictures = read_all(places.results / "sessions" / session / "charts")
    return [
        Packaged(f"drawings/{name}{DRAWING}", standing_alone(drawing).encode())
        for name, picture in pictures.items()
        if (drawing := in_frame(name, picture, ACROSS, palette, ""))
    ]
