"""A session's pictures as a package holds them: drawn, for who reads it in many years."""

from strapline.ground.report_files import THEME
from strapline.ground.settings import Settings
from strapline.keeping.packaging.contents import Packaged
from strapline.keeping.receipts import Places, read_receipt, receipt_path
from strapline.telling.charts.palette import coloured
from strapline.telling.charts.render import DRAWING, drawn, standing_alone
from strapline.telling.charts.specification import read_all


def drawings_of(places: Places, session: str) -> list[Packaged]:
    """Each picture of the session as SVG with its letters inside, in the report's colours."""
    receipt = read_receipt(receipt_path(places, f"results/report/{THEME}"))
    settings = Settings.model_validate(receipt.settings if receipt else {})
    look = coloured(settings.palette, settings.presentation.credit)
    return [
        Packaged(
            f"drawings/{name}{DRAWING}", standing_alone(drawn(chart, look)).encode(), "Drawing"
        )
        for name, chart in read_all(places.results / "sessions" / session / "charts").items()
    ]
