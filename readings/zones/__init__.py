"""How many dimming zones a backlight has, from presses, combs of boxes and meter traces.

Nothing here knows a database, a window or a file, but for the tables of tallies made elsewhere.
"""

from readings.zones.claims import CLAIM
from readings.zones.comb import CombAnswer
from readings.zones.combine import AxisCount, ZoneCount, count_axis, zone_count
from readings.zones.crawl import Belief, Pass
from readings.zones.trace import Trace, trace_likelihood

__all__ = [
    "CLAIM",
    "AxisCount",
    "Belief",
    "CombAnswer",
    "Pass",
    "Trace",
    "ZoneCount",
    "count_axis",
    "trace_likelihood",
    "zone_count",
]
