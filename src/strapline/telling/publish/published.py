"""The names of all pictures that can be published."""

from strapline.telling.charts.charts import CHARTS
from strapline.telling.drawings.drawings import FOR_VIDEO

PICTURES = (*dict.fromkeys(chart.name for chart in CHARTS if chart.published), *FOR_VIDEO)
