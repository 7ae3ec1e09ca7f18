"""How fast a nutrient leaves the water, from a series of readings with doses and water changes between them."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Any, NamedTuple

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.convert import CATEGORY
from pailbook.functions.water import KitResolution, Rate, RateError
from pailbook.outcomes import NotPossible
from pailbook.quantity import Quantity
from pailbook.sources import GEOMETRY, LEAST_SQUARES

Dates = Annotated[Any, Quantity("dates", "Dates of the readings, one per row, in ascending order; times may be added",
                                "days", low=0, high=2958465, series=True)]
Readings = Annotated[Any, Quantity("readings", "Readings, all in one basis; leave blank where there is none", "mg/L",
                                   low=0, high=100000, series=True)]
Additions = Annotated[Any, Quantity("additions", "What each row's dose added, after its reading", "mg/L",
                                    low=0, high=100000, series=True)]
Changes = Annotated[Any, Quantity("changed shares", "Share of the water changed in each row, after its reading",
                                  low=0, high=1, series=True)]
Incoming = Annotated[Any, Quantity("incoming", "Level in the incoming water of each change, in the same basis", "mg/L",
                                   low=0, high=100000, series=True)]
Confidence = Annotated[float, Quantity("confidence", "Confidence of the interval: 0.95 for a 95 % interval", low=0.5,
                                       high=0.999)]


class _Fit(NamedTuple):
    """The sums of the least-squares line; see `_fit`."""

    n: Any
    aa: Any
    ag: Any
    gg: Any
    az: Any
    gz: Any
    zz: Any

    @property
    def determinant(self) -> Any:
        return self.aa * self.gg - self.ag**2

    @property
    def rate(self) -> Any:
        return (self.ag * self.az - self.aa * self.gz) / self.determinant

    @property
    def start(self) -> Any:
        return (self.gg * self.az - self.ag * self.gz) / self.determinant

    def answer(self, value: Callable[[], Any]) -> Any:
        """The value, where there are readings enough for a line."""
        enough = (self.n >= 2) & (self.determinant > 0)
        return ops.require(enough, value, "at least two readings on different days are needed")


def _fit(dates: Any, readings: Any, additions: Any, changed_fraction: Any, incoming: Any) -> _Fit:
    """Sums for fitting each reading as a * start + b - g * rate.

    Between rows the water loses `rate` a day; a change of a share f scales all that was there by 1 - f and brings
    f * incoming; a dose adds. So a, b and g follow from the rows before, and rate and start from least squares of
    z = reading - b on a and g.
    """
    count = len(dates)
    series = []
    for values, what in ((readings, "readings"), (additions, "additions"), (changed_fraction, "changed_fraction"),
                         (incoming, "incoming")):
        filled = list(values) if values else [None] * count
        if len(filled) != count:
            raise NotPossible(f"{what} has {len(filled)} cells and dates has {count}; they must be of one table")
        series.append(filled)

    a: Any = 1.0
    b: Any = 0.0
    g: Any = 0.0
    sums: list[Any] = [0.0] * 7
    last = dates[0]
    in_order: Any = ops.is_number(dates[0])
    for date, reading, addition, share, brought in zip(dates, *series):
        dated, read = ops.is_number(date), ops.is_number(reading)
        now = ops.where(dated, date, last)
        in_order = in_order & (now >= last) & ops.where(read, dated, True)
        g = g + (now - last)
        last = now
        z = ops.or_zero(reading) - b
        for place, term in enumerate((1.0, a * a, a * g, g * g, a * z, g * z, z * z)):
            sums[place] = sums[place] + ops.where(read, term, 0.0)
        kept = 1 - ops.or_zero(share)
        a, g = a * kept, g * kept
        b = b * kept + ops.or_zero(share) * ops.or_zero(brought) + ops.or_zero(addition)
    fit = _Fit(*sums)
    message = "the dates must be in ascending order, and each reading needs one"
    return fit._replace(n=ops.require(in_order, fit.n, message))


@worksheet_function(
    category=CATEGORY, source=(LEAST_SQUARES.at("straight line"), GEOMETRY.at("mass balance")), in_steps=True,
    example=([46000.0, 46003.0, 46006.0], [14.0, 11.5, 9.0]),
)
def uptake_rate(
    dates: Dates, readings: Readings, additions: Additions = None, changed_fraction: Changes = None,
    incoming: Incoming = None,
) -> Rate:
    """Fall of a nutrient, in mg/L a day, by least squares, with doses and water changes taken into account; negative if
    it rises.

    It is what plants, sludge and precipitation take, less what the feed adds. The ranges are columns of one table, with
    one row for each day with a reading, a dose or a change; doses and changes count after the reading of their row.
    """
    fit = _fit(dates, readings, additions, changed_fraction, incoming)
    return fit.answer(lambda: fit.rate)


@worksheet_function(
    category=CATEGORY,
    source=(LEAST_SQUARES.at("standard error of the slope; confidence by Student's t"), GEOMETRY.at("rounding error")),
    in_steps=True, example=([46000.0, 46002.0], [14.0, 13.0], [None, None], [None, None], [None, None], 1.0),
)
def uptake_error(
    dates: Dates, readings: Readings, additions: Additions = None, changed_fraction: Changes = None,
    incoming: Incoming = None, kit_resolution: KitResolution = 0.0, confidence: Confidence = 0.95,
) -> RateError:
    """How far UPTAKE_RATE may be wrong, either way, in mg/L a day; a 95 % interval if the confidence is left out, and
    never less than the resolution of the kit allows.

    From three readings on, it follows from how far they scatter about the line, with Student's t: the fewer they are,
    the wider it is. Two readings show no scatter: their error comes from the kit's resolution alone, and may well be
    larger.
    """
    fit = _fit(dates, readings, additions, changed_fraction, incoming)

    def error() -> Any:
        freedom = ops.maximum(fit.n - 2, 1.0)
        squares = fit.zz - fit.start * fit.az + fit.rate * fit.gz  # of the distances from the line
        scatter = ops.sqrt(ops.maximum(squares, 0.0) / freedom)
        by_scatter = ops.where(fit.n > 2, lambda: ops.student_quantile(confidence, freedom) * scatter, 0.0)
        rounding = kit_resolution / math.sqrt(12)  # the standard deviation of an evenly spread rounding error
        by_resolution = ops.normal_quantile(confidence) * rounding
        return ops.maximum(by_scatter, by_resolution) * ops.sqrt(fit.aa / fit.determinant)

    return fit.answer(error)
