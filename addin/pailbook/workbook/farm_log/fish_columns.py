"""The columns of the sheet Fish, and the events that its rows tell of."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import Biomass, FishCount, FishDensity, FishMass
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log.entries import ENTRIES
from pailbook.workbook.measures import SAMPLE_WEIGHT, quantity

IN = ("stocked", "moved in", "found more")
OUT = ("died", "moved out", "harvested", "found fewer")
DIED, WEIGHED, STOCKED = "died", "weighed", "stocked"
NEW = ("stocked", "moved in")
SMALL_TO_LARGE = {"metric": 1000, "us": 16}  # weight of fish in g or oz to total weight in kg or lb

COLUMNS = (
    Column("date", "Date", kind="date", width=11),
    Column("system", "System", kind="choice", width=14),
    Column("event", "What happened", kind="choice", width=13, choices=(*IN, *OUT, WEIGHED),
           help="weighed: a sample on the scale, put back. found more, found fewer: a count that corrects the stock."),
    Column("count", "Number of fish", quantity(FishCount), width=9,
           help="How many came, went, died or were on the scale"),
    Column("mean", terms.MEAN_WEIGHT, quantity(FishMass), width=10,
           help="Weight of one fish; or leave it blank and enter the weight of the sample"),
    Column("sample", terms.SAMPLE_WEIGHT, SAMPLE_WEIGHT, width=11),
    Column("cause", "Cause, from or to", kind="text", width=22),
    Column("note", "Note", kind="text", width=24),
    Column("state", "Verdict", kind="result", width=34),
    Column("stock", "Fish on hand that evening", quantity(FishCount), "result", 11),
    Column("biomass", terms.TOTAL_WEIGHT, quantity(Biomass), "result", 11),
    Column("density", terms.STOCKING_DENSITY, quantity(FishDensity), "result", 10),
    Column("one", "Mean weight in use", quantity(FishMass), "result", 10),
    Column("change", "Change of stock", kind="result", width=9, format='+0;-0;0'),
    ENTRIES,
    Column("place", "Place on the list of systems", kind="result", width=9, hidden=True),
    Column("weighing", "Number of the weighing", kind="result", width=9, hidden=True),
    Column("act", "Density: act above", kind="result", width=9, hidden=True),
    Column("watch", "Density: watch above", kind="result", width=9, hidden=True),
)
ENTERED, NEEDED = ("date", "system", "event", "count", "mean", "sample"), ("date", "system", "event", "count")
