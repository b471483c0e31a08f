"""Charts drawn as they are published, in the palette of the defaults."""

from strapline.ground.settings import Palette
from strapline.telling.charts import render
from strapline.telling.charts.palette import coloured

PALETTE = Palette()
CREDIT = "Tested at the sample bench"


def drawing_of(chart, exact=False, credit=CREDIT):
    """The chart as SVG."""
    return render.drawn(chart, coloured(PALETTE, credit), exact)
