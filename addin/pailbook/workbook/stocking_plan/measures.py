"""Quantities that a stocking plan asks for and no function takes."""

from __future__ import annotations

from pailbook.quantities import KG_PER_POUND, METRES_PER_FOOT, Quantity

CONVERSION = Quantity("feed conversion", "Feed for each weight of growth, from your own records", low=0.5, high=5)
DEATHS = Quantity("deaths", "Share of the fish that die in a week", "% a week", low=0, high=50)
TAKEN_OUT = Quantity("fish a week", "Fish taken out per week; leave blank to take all at once",
                     low=1, high=1e6, whole=True)
PEAK = Quantity("peak", "Oxygen use in the hours after feeding, as a multiple of the day's mean", low=1, high=5)
ELBOWS = Quantity("elbows", "Elbows and bends; a tee counts as two", low=0, high=1000, whole=True)
LIFT = Quantity("lift", "From the water that the pump stands in up to where the pipe ends", "m", "ft",
                1 / METRES_PER_FOOT, low=0, high=100)
PUMP_HEAD = Quantity("pump head", "Head of the pump at that flow, from the curve on its label", "m", "ft",
                     1 / METRES_PER_FOOT, low=0, high=1000, above=True)
STONE_SHARE = Quantity("efficiency", "Share of the air's oxygen that the water takes up, from AIR_EFFICIENCY_TEST",
                       low=0, high=1, above=True)
TURNOVER = Quantity("turnover", "How many times an hour the whole volume passes the filter", "per hour",
                    low=0.1, high=20)
TOTAL = Quantity("weight", "Weight of all of it", "kg", "lb", 1 / KG_PER_POUND, low=0, high=1e6)
