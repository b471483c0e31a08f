"""The names of all pictures that can be published."""

from strapline.telling.charts.charts import CHARTS

PICTURES = tuple(dict.fromkeys(chart.name for chart in CHARTS if chart.published))
