"""The stocking and feed plan: cohorts week by week, and whether water, filter, air, plants and pump carry them."""
