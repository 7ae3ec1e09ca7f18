"""Bad declarations are refused at import; every declaration of the catalogue is sound."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any

import pytest

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.function import CATALOGUE, BadDeclaration, WorksheetFunction, worksheet_function
from pailbook.quantities import METRIC, UNIT_SYSTEMS, US, Quantity, Volume, WaterTemperature  # noqa: F401 - in exec
from pailbook.sources import Work

PLACE = Work("Somebody 2000, A work").at("p. 1")
Share = Annotated[float, Quantity("share", low=0, high=1)]
OnlyAbove = Annotated[float, Quantity("share", low=0, high=1, above=True)]
Count = Annotated[float, Quantity("count", low=1, high=9, whole=True)]
Choice = Annotated[str, Quantity("choice", choices=("fine", "coarse"))]
ChoiceOrShare = Annotated[Any, Quantity("choice", choices=("fine", "coarse"), low=0, high=1)]
Flag = Annotated[bool, Quantity("flag", flag=True)]
Beside = Annotated[float, Quantity("value", "", "°C", "°F", 1.8, 32.0, us_when=("choice", "fine"))]


@pytest.fixture(autouse=True)
def _catalogue_stays_as_it_is() -> Iterator[None]:
    before = dict(CATALOGUE)
    yield
    CATALOGUE.clear()
    CATALOGUE.update(before)


def _declare(
    arguments: str = "share: Share", result: str = " -> Share", name: str = "leak_rate", help: str = "Some share.",
    example: tuple[Any, ...] = (0.5,), category: str = "Ammonia", source: Any = PLACE,
) -> WorksheetFunction:
    """A declaration from its parts, as it stands in a module."""
    scope: dict[str, Any] = dict(globals())
    exec(f"def {name}({arguments}){result}:\n    {help!r}\n    return 0.5\n", scope)
    worksheet_function(category=category, source=source, example=example)(scope[name])
    return CATALOGUE[name.upper()]


def test_a_good_declaration_is_entered() -> None:
    record = _declare(
        "volume: Volume, stone: Choice = 'fine', many: Count = 2, part: Share = 0.0, sure: Flag = False",
        example=(20.0,), help="Some share.\n\nIt is \n  explained here.",
    )
    assert record.signature == "LEAK_RATE(volume, [stone], [many], [part], [sure], [units])"
    assert (record.summary, record.details) == ("Some share.", "It is \n  explained here.")
    assert record.source == (PLACE,)
    assert [a.required for a in record.cell_arguments] == [True, False, False, False, False, False]


def test_an_argument_may_have_a_help_text_of_its_own() -> None:
    record = _declare("sump: Annotated[Volume, 'Water in the sump'], all: Volume = 0.0",
                      result=" -> Annotated[Share, 'Share lost']", example=(20.0,))
    sump, whole = (argument.quantity for argument in record.arguments)
    assert (sump.help, record.result.help) == ("Water in the sump", "Share lost")
    assert whole.help != sump.help
    assert all(sump.limits(units) == whole.limits(units) for units in UNIT_SYSTEMS)


def test_units_come_only_where_a_unit_differs() -> None:
    assert not _declare().has_units
    assert _declare("volume: Volume", name="leak_rate_2").has_units
    assert _declare(result=" -> WaterTemperature", name="leak_rate_3").has_units


# A1 notation reaches to XFD1048576; R1C1 notation knows R, C, RC, R1, C1, R1C1.
@pytest.mark.parametrize("name", [
    "nh3", "co2", "ph7", "do2", "a1", "log10", "xfd1048576", "r1c1", "rc", "r1", "c1", "r", "c", "rc1", "r1c", "x",
    "_leak", "leak_", "größe", "лeak",
])
def test_names_that_a_sheet_would_take_for_something_else(name: str) -> None:
    with pytest.raises(BadDeclaration, match="not be a cell address"):
        _declare(name=name)


@pytest.mark.parametrize("name", ["abcd1", "nh3_share", "h2o_mass", "r1c1x", "log_10"])
def test_names_that_only_look_like_addresses(name: str) -> None:
    assert _declare(name=name).name == name.upper()


@pytest.mark.parametrize(("wrong", "message"), [
    ({"arguments": "share"}, "type hint of share must name a quantity"),
    ({"arguments": "share: float"}, "type hint of share must name a quantity"),
    ({"result": ""}, "type hint of return must name a quantity"),
    ({"result": " -> float"}, "type hint of return must name a quantity"),
    ({"source": ()}, "names no source"),
    ({"source": None}, "names no source"),
    ({"source": "Somebody 2000"}, "names no source"),
    ({"category": ""}, "names no category"),
    ({"help": ""}, "first paragraph must have 1 to 255"),
    ({"help": "\n\n  Details alone."}, None),
    ({"help": "x" * 256}, "first paragraph must have 1 to 255"),
    ({"help": "x" * 200 + "\n" + "x" * 60}, "first paragraph must have 1 to 255"),
    ({"arguments": "units: Share"}, "units cannot be an argument's name"),
    ({"arguments": "type: Share"}, "type cannot be an argument's name"),
    ({"arguments": "end: Share"}, "end cannot be an argument's name"),
    ({"arguments": "step: Share"}, "step cannot be an argument's name"),
    ({"arguments": "double: Share"}, "double cannot be an argument's name"),
    ({"arguments": "sequence: Share"}, "sequence cannot be an argument's name"),
    ({"arguments": "_share: Share"}, "_share cannot be an argument's name"),
    ({"arguments": "share_: Share"}, "share_ cannot be an argument's name"),
    ({"arguments": "Share_1: Share"}, "Share_1 cannot be an argument's name"),
    ({"arguments": "*shares: Share"}, "shares must be an ordinary argument"),
    ({"arguments": "*, share: Share"}, "share must be an ordinary argument"),
    ({"arguments": "share: Share, /"}, "share must be an ordinary argument"),
    ({"arguments": "**shares: Share"}, "shares must be an ordinary argument"),
    ({"example": ()}, "example must give every required argument"),
    ({"example": (0.5, 0.5)}, "example must give every required argument"),
    ({"arguments": "share: Share = 2.0"}, "default of share must be a number from 0 to 1"),
    ({"arguments": "share: Share = 'some'"}, "default of share must be a number from 0 to 1"),
    ({"arguments": "share: Share = None"}, "type hint of share must name a quantity|default of share must be"),
    ({"arguments": "share: Count = 2.5"}, "default of share must be a whole number from 1 to 9"),
    ({"arguments": "share: Choice = 'Fine'"}, 'default of share must be "fine" or "coarse"'),
    ({"arguments": "share: Choice = 1.0"}, 'default of share must be "fine" or "coarse"'),
    ({"arguments": "share: Flag = 1"}, "default of share must be True or False"),
    # LibreOffice hands a blank cell over as 0 (measured): left out must not mean one number and 0 another.
    ({"arguments": "share: Share = 0.5"}, "default of share must be 0, or 0 must lie outside the limits"),
    ({"arguments": "share: ChoiceOrShare = 'fine'"}, "default of share must be 0, or 0 must lie outside the limits"),
    ({"arguments": "share: WaterTemperature = 0.0"}, "default of share cannot be 0 where 0 is another value"),
    ({"arguments": "choice: Beside"}, "only the unit of a result may depend on an option"),
    ({"result": " -> Beside"}, "depends on choice, which is not a required argument"),
    ({"arguments": "choice: Choice = 'fine'", "result": " -> Beside", "example": ("fine",)}, "not a required argument"),
])
def test_bad_declarations_are_refused(wrong: dict[str, Any], message: str | None) -> None:
    if message is None:  # a docstring that starts with blank lines still has a first paragraph
        assert _declare(**wrong).summary == "Details alone."
        return
    with pytest.raises(BadDeclaration, match=message) as refused:
        _declare(**wrong)
    assert str(refused.value).startswith("LEAK_RATE: ")


def test_a_zero_that_stands_for_left_out_may_lie_outside_the_limits() -> None:
    assert _declare("share: OnlyAbove = 0.0", example=()).arguments[0].default_is_zero


def test_a_second_function_of_the_same_name_is_refused() -> None:
    _declare()
    with pytest.raises(BadDeclaration, match="LEAK_RATE: is declared twice"):
        _declare()


@pytest.mark.parametrize(("wrong", "message"), [
    ({"label": ""}, "needs a label"),
    ({"low": 1, "high": 1}, "low must lie below high"),
    ({"low": 2, "high": 1}, "low must lie below high"),
    ({"high": 1, "above": True}, "above needs low"),
    ({"low": 1, "below": True}, "below needs high"),
    ({"us_unit": "ft", "us_factor": 0}, "us_factor must be above 0"),
    ({"us_factor": 1.8}, "conversion needs us_unit"),
    ({"us_offset": 32}, "conversion needs us_unit"),
    ({"flag": True, "low": 0}, "a flag has no limits"),
    ({"flag": True, "choices": ("yes",)}, "a flag has no limits"),
    ({"choices": ("fine",), "us_unit": "ft"}, "options have no unit"),
    ({"grade": True}, "grade needs choices"),
    ({"choices": ("fine", "Fine")}, "not by case alone"),
    ({"choices": ("fine", "")}, "choices must differ"),
])
def test_quantities_that_contradict_themselves_are_refused(wrong: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Quantity(**{"label": "share", **wrong})
