"""The record of a kind of number: its unit in each unit system, its limits and its help text."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any

METRIC, US = "metric", "us"
UNIT_SYSTEMS = (METRIC, US)


@dataclass(frozen=True)
class Quantity:
    """A kind of number (or of option text) that arguments and results are made of.

    Limits are metric and inclusive unless `above` or `below` says that they are not. `choices` are the texts
    that are accepted, spelt as declared; with `low` or `high` given too, a number will also do.

    Raises
    ------
    ValueError
        When the record contradicts itself.
    """

    label: str
    help: str = ""
    unit: str = ""
    us_unit: str = ""
    us_factor: float = 1.0
    us_offset: float = 0.0
    us_when: tuple[str, str] | None = None  # converted only where this argument holds this text
    low: float | None = None
    high: float | None = None
    above: bool = False  # low itself is excluded
    below: bool = False  # high itself is excluded
    whole: bool = False
    flag: bool = False  # TRUE or FALSE
    choices: tuple[str, ...] = ()
    series: bool = False  # a whole range of numbers, in which blanks are allowed
    grade: bool = False  # besides the choices, a fertiliser's label grade such as 15-5-30 is accepted
    _limits: dict[str, tuple[float | None, float | None]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        folded = {choice.casefold() for choice in self.choices}
        for wrong, why in (
            (not self.label, "a quantity needs a label"),
            (self.low is not None and self.high is not None and self.low >= self.high, "low must lie below high"),
            (self.above and self.low is None, "above needs low"),
            (self.below and self.high is None, "below needs high"),
            (self.us_factor <= 0, "us_factor must be above 0"),
            (not self.us_unit and (self.us_factor != 1 or self.us_offset != 0), "a conversion needs us_unit"),
            (self.flag and (self.choices or self.low is not None or self.high is not None), "a flag has no limits"),
            (self.choices and self.us_unit, "options have no unit to convert"),
            (self.grade and not self.choices, "grade needs choices"),
            (len(folded) < len(self.choices) or "" in folded, "choices must differ, and not by case alone"),
        ):
            if wrong:
                raise ValueError(f"quantity {self.label!r}: {why}")
        # Rounded, so that float noise refuses no round number of the other unit system.
        converted = tuple(
            None if limit is None else float(f"{self.from_metric(limit, US):.10g}") for limit in (self.low, self.high)
        )
        object.__setattr__(self, "_limits", {METRIC: (self.low, self.high), US: converted})

    @property
    def converts(self) -> bool:
        """Whether its unit differs between the unit systems."""
        return bool(self.us_unit)

    @property
    def takes_number(self) -> bool:
        """Whether a number is accepted."""
        return not self.flag and (not self.choices or self.low is not None or self.high is not None)

    @property
    def takes_text(self) -> bool:
        """Whether a text is accepted."""
        return bool(self.choices)

    def unit_in(self, units: str) -> str:
        """The unit's name in a unit system."""
        return self.us_unit if units == US and self.converts else self.unit

    def to_metric(self, value: Any, units: str) -> Any:
        """A value of that unit system, in metric; works on floats, arrays and traced cells."""
        if units == METRIC or not self.converts:
            return value
        if self.us_offset:
            value = value - self.us_offset
        return value / self.us_factor

    def from_metric(self, value: Any, units: str) -> Any:
        """A metric value in that unit system."""
        if units == METRIC or not self.converts:
            return value
        value = value * self.us_factor
        return value + self.us_offset if self.us_offset else value

    def limits(self, units: str = METRIC) -> tuple[float | None, float | None]:
        """Lowest and highest value in a unit system, None where there is none."""
        return self._limits[units]

    def outside(self, value: Any, units: str = METRIC) -> list[Any]:
        """Conditions, one for each limit, that hold where the value lies outside it."""
        low, high = self._limits[units]
        conditions = []
        if low is not None:
            conditions.append(value <= low if self.above else value < low)
        if high is not None:
            conditions.append(value >= high if self.below else value > high)
        return conditions

    def expected(self, units: str = METRIC) -> str:
        """What is accepted, in words for a message: "a number above 0 and up to 40 °C"."""
        words = []
        if self.choices:
            words.append(" or ".join(f'"{choice}"' for choice in self.choices) if len(self.choices) < 4
                         else "one of " + ", ".join(f'"{choice}"' for choice in self.choices))
        if self.grade:
            words.append("a label grade such as 15-5-30")
        if self.flag:
            words.append("TRUE or FALSE")
        if self.takes_number:
            low, high = self.limits(units)
            number = "a whole number" if self.whole else "a number"
            if low is not None:
                least = _shown(low, ROUND_CEILING)
                number += f" above {least}" if self.above else f" from {least}"
            if high is not None:
                most = _shown(high, ROUND_FLOOR)
                number += f" and below {most}" if self.below else f" and up to {most}" if self.above else f" to {most}"
            words.append(" ".join(part for part in (number, self.unit_in(units)) if part))
        return ", or ".join(words)


def _shown(limit: float, inwards: str) -> str:
    """A limit for reading, in four digits; rounded inwards, so that no number that is refused seems accepted."""
    exact = Decimal(repr(limit))
    rounded = exact.quantize(Decimal(1).scaleb(exact.adjusted() - 3), inwards)
    text = f"{rounded:,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
