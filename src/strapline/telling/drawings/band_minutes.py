"""Minutes in each band of effort: a bar for the strap and one for the device."""

from typing import Any

import altair as alt

from strapline.telling.drawings.parts import STRAP, axis, colour, covers, panels
from strapline.telling.drawings.size import Size

# Of a band and where it lies, in letters' height.
_ROOM = 12


def band_minutes(size: Size) -> Any:
    """Of `bars` (panel, place, band, minutes)."""
    said, room = round(3.6 * size.text), round(_ROOM * size.text)
    width = size.panel - room - said
    names = alt.Axis(
        title=None,
        labelExpr="bands[datum.value]",
        grid=False,
        minExtent=room - 8,
        labelOffset=-0.55 * size.text,
    )
    y = alt.Y("band:O", axis=names)
    side = alt.YOffset("side:O", sort=["strap", "device"])
    scale = alt.Scale(domain=[0, alt.ExprRef("longest")], nice=False)
    x = alt.X("minutes:Q", scale=scale, axis=axis(max(2, width // 70)))
    bars = alt.Chart().transform_calculate(side="datum.place < 0 ? 'strap' : 'device'")
    figures = bars.mark_text(align="left", baseline="middle", dx=4)
    text = alt.Text("minutes:Q", format=".1f")
    layers = alt.layer(
        bars.mark_bar().encode(x=x, y=y, yOffset=side, color=colour(), opacity=covers(STRAP)),
        figures.encode(x=x, y=y, yOffset=side, text=text),
        width=width,
        height=alt.Step(1.45 * size.text),
    )
    return panels(layers, "bars.panel", size, size.columns, size.apart, room)
