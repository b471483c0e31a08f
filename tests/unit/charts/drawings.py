"""Pictures drawn as a browser draws them, and as they are published, in the default palette."""

from strapline.ground.settings import Palette
from strapline.telling.charts.picture import by_row
from strapline.telling.drawings import render
from strapline.telling.drawings.frame import ACROSS, in_frame
from strapline.telling.drawings.palette import coloured
from strapline.telling.drawings.size import WIDE

PALETTE = Palette()
CREDIT = "Tested at the sample bench"


def whole(chart, picture, size=WIDE):
    """The specification of a picture with all that it needs."""
    return render.whole(chart.name, picture, picture.content, size, coloured(PALETTE))


def drawing_of(chart, picture, size=WIDE):
    """The picture as SVG, without its title."""
    return render.drawn(whole(chart, picture, size))


def frame_of(chart, picture, frame=ACROSS, credit=CREDIT):
    """The picture as it is published."""
    return in_frame(chart.name, picture, frame, PALETTE, credit)


def rows(picture, name, field):
    """Rows of a data set that have something in a field."""
    found = by_row(picture.content.datasets[name])
    return [row for row in found if row.get(field) is not None]
