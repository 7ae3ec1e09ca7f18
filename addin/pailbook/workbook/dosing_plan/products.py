"""Sheet "Phosphate": what each phosphate product would do if it filled the target range at once."""

from __future__ import annotations

from collections.abc import Callable

from pailbook import terms
from pailbook.quantities import PH, Density, Strength
from pailbook.rules import clean
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.dosing_plan import steps
from pailbook.workbook.dosing_plan.day_rules import PRODUCTS
from pailbook.workbook.dosing_plan.nutrients import (
    ACID,
    BLEND,
    CALCIUM_PER_PO4,
    DI,
    MONO,
    PHOSPHATE,
    PHOSPHATES,
    POTASSIUM_PER_PO4,
)
from pailbook.workbook.dosing_plan.places import SHEETS, cell, clean_cell, clean_fact
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import Formula, put, section, write_table
from pailbook.workbook.texts import with_numbers

SHEET = SHEETS["products"]
NAMES = (*(product.name for product in PHOSPHATES), BLEND)
_NO_LIMIT = "500"  # mg/L; a product that leaves pH alone has no limit
ASKED = ("strength", "density", "per", "allowed", "once", "settled")  # by the rule of a product, in its row
COLUMNS = (
    Column("product", "Product", kind="result", width=34),
    Column("strength", "Strength on its label", quantity(Strength), width=11,
           help="Percent by weight. An acid needs it; a salt without it counts as pure"),
    Column("density", "Density, of a solution", quantity(Density), width=11,
           help="For an acid it is taken from a table. Enter it for a salt solution: the dose is then in mL"),
    Column("unit", "Dose in", kind="result", width=7),
    Column("per", "1 mg/L of PO4 takes\ng or mL", kind="result", width=10, format="0.00"),
    Column("refill", "Lower to upper end takes\ng or mL", kind="result", width=11, format="0.0"),
    Column("second", "Dipotassium phosphate with it\ng or mL", kind="result", width=13, format="0.0"),
    Column("once", "pH if given in one go: at once", quantity(PH), "result", 12),
    Column("settled", "pH settled, hours later", quantity(PH), "result", 11),
    Column("allowed", "Most allowed in one day\nmg/L as PO4", kind="result", width=13, format="0.0"),
    Column("days", "Split over about\ndays", kind="result", width=9, format="0"),
    Column("alkalinity", f"{terms.ALKALINITY_ONCE} changes by\nmg/L as CaCO3", kind="result", width=14,
           format="+0.0;-0.0;0.0"),
    Column("potassium", "Brings potassium\nmg/L as K", kind="result", width=11, format="0.0"),
    Column("state", "Verdict", kind="result", width=48),
    Column("charge", "Equivalents per mol", kind="result", hidden=True),
    *(Column(f"clean_{key}", f"{key}, as rules read it", kind="result", hidden=True) for key in ASKED),
    *(Column(key, label, kind="result", hidden=True) for key, label in steps.COLUMNS),
)
_TEXTS = (
    "At once is what a meter shows after mixing. Settled is hours later, when breathing and air have brought free CO2 "
    "back to where it was. The day's limit is the smaller of the two, so that neither breaks the rule.",
    "A blend of both potassium phosphates leaves pH alone and brings potassium. Weigh both, dissolve each in its own "
    "water, and add both within the hour.",
    "Phosphoric acid burns: wear gloves and goggles. Add acid to water, never water to acid. Spread it slowly where "
    "the water moves most, away from fish and roots. Keep it away from bases and chlorine, in store and in the tank.",
    "Never dose lime or any hydroxide near phosphate: calcium phosphate precipitates and pH jumps.",
)


def table() -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, len(NAMES))


def row_of(plan: Plan, product: str) -> int:
    """The row of a product."""
    return plan.tables[SHEET].first_row + NAMES.index(product)


def of(plan: Plan, product: str, key: str) -> str:
    """A product's cell, as any sheet may name it."""
    t = plan.tables[SHEET]
    return f"{SHEET}!${t.letter(key)}${row_of(plan, product)}"


def in_use(plan: Plan, key: str) -> str:
    """Formula text for a column of the product in use; blank without one."""
    t, product = plan.tables[SHEET], cell(PHOSPHATE, "product")
    at = f"MATCH({product},{t.range('product')},0)"
    return f'IF({product}="","",{t.at(key, at)})'


def blend_share(plan: Plan, ph: str) -> str:
    """Formula text for the share of dipotassium phosphate in the blend at a pH."""
    return plan.book.call("PHOSPHATE_BLEND", ph, plan["temperature"], plan["calcium"], plan["magnesium"])


def potassium_with(rise: str, charge: str) -> str:
    """Formula text for the potassium, mg/L, that a rise of phosphate from the product in use brings with it."""
    product = cell(PHOSPHATE, "product")
    such = ",".join(f'{product}="{name}"' for name in (BLEND, *(p.name for p in PHOSPHATES if p.potassium)))
    return f"IF(OR({such}),{rise}*(1+SUM({charge}))*{POTASSIUM_PER_PO4:.12g},0)"


def calcium_with(rise: str) -> str:
    """Formula text for the calcium, mg/L, that a rise of phosphate from the product in use brings with it."""
    product = cell(PHOSPHATE, "product")
    parts = [f'IF({product}="{p.name}",{p.calcium * CALCIUM_PER_PO4:.12g},0)' for p in PHOSPHATES if p.calcium]
    return f"{rise}*({'+'.join(parts)})"


def allowed(plan: Plan, product: str, blend: str, charge: str, water: tuple[str, str, str]) -> str:
    """Formula text for the most that phosphate may rise in a day, mg/L of PO4.

    Parameters
    ----------
    product : text or cell of the product.
    blend : condition under which it is the blend, which pH does not limit.
    charge : equivalents of alkalinity that it brings with each mol.
    water : cells of pH, alkalinity and phosphate that day.
    """
    ph, alkalinity, phosphate = water
    room = f"IF({charge}>0,{plan['ph_highest']}-{ph},{ph}-{plan['ph_lowest']})"
    by_ph = plan.book.call(
        "PHOSPHATE_RISE_ALLOWED", product, ph, alkalinity, plan["temperature"], phosphate,
        f"MIN({plan['ph_rule']},{room})", '"safe"', plan["conductivity"], plan["calcium"], plan["magnesium"])
    by_alkalinity = (f"IF({charge}<0,MAX({alkalinity}-{plan['alkalinity_lowest']},0)/{steps.CACO3_PER_PO4:.12g},"
                     f"{_NO_LIMIT})")
    return f"IF({blend},{_NO_LIMIT},IFERROR(MIN({by_ph},{by_alkalinity}),0))"


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, plan.tables[SHEET]
    sheet = book.sheet(SHEET, "What each product would do to your water if it filled the whole target range at once. "
                              "Enter the strength from the acid's label.")
    low, high = cell(PHOSPHATE, "low"), cell(PHOSPHATE, "high")
    rise = f"({high}-{low})"
    chemistry = (plan["ph"], plan["alkalinity"], plan["temperature"])

    def by_name(text: Callable[[str, int], str]) -> Formula:
        return lambda row: text(NAMES[row - t.first_row], row)

    def charge(name: str, _: int) -> str:
        if name == BLEND:
            return with_numbers((chemistry[0], chemistry[2]), blend_share(plan, chemistry[0]))
        return f"{next(p.alkalinity for p in PHOSPHATES if p.name == name):g}"

    def unit(name: str, row: int) -> str:
        density, strength = t.cell("density", row), t.cell("strength", row)
        if name == BLEND:
            return of(plan, MONO, "unit")
        solution = f"OR(ISNUMBER({density}),{strength}<>100)" if name == ACID else f"ISNUMBER({density})"
        return f'IF({solution},"mL","g")'

    def per(name: str, row: int) -> str:
        if name == BLEND:
            share, mono, di = t.cell("charge", row), of(plan, MONO, "per"), of(plan, DI, "per")
            return with_numbers((share, mono, di), f"(1-{share})*{mono}+{share}*{di}")
        call = book.call("PHOSPHATE_DOSE", f'"{name}"', plan["volume"], "0", "1", t.cell("strength", row),
                         t.cell("density", row))
        return f'IF(COUNT({plan["volume"]})=0,"",IFERROR({call},""))'

    def refill(name: str, row: int) -> str:
        own = t.cell("per", row)
        if name == BLEND:
            own = f"(1-{t.cell('charge', row)})*{of(plan, MONO, 'per')}"
        return with_numbers((t.cell("per", row), low, high), f"{rise}*{own}")

    def second(name: str, row: int) -> str:
        if name != BLEND:
            return '""'
        own = f"{t.cell('charge', row)}*{of(plan, DI, 'per')}"
        return with_numbers((t.cell("per", row), low, high), f"{rise}*{own}")

    def most(name: str, row: int) -> str:
        if name == BLEND:
            return with_numbers((low, high, *chemistry), rise)
        text = allowed(plan, f'"{name}"', "FALSE", t.cell("charge", row), (*chemistry[:2], low))
        return with_numbers((low, *chemistry), text)

    def days(row: int) -> str:
        day = t.cell("allowed", row)
        return with_numbers((day, low, high), f'IF({day}>0,INT({rise}/{day}+0.999999),"")')

    def potassium(name: str, row: int) -> str:
        if name != BLEND and not next(p.potassium for p in PHOSPHATES if p.name == name):
            return '""'
        return with_numbers((low, high, t.cell("charge", row)),
                            f"{rise}*(1+{t.cell('charge', row)})*{POTASSIUM_PER_PO4:.12g}")

    def cleaned(key: str) -> Callable[[str, int], str]:
        def text(name: str, row: int) -> str:
            asked = next(one for one in PRODUCTS[name].questions if one.name == key)
            return clean(asked, t.cell(key, row), book.units)
        return text

    def state(name: str, row: int) -> str:
        cells = {key: t.cell(f"clean_{key}", row) for key in ASKED}
        boxes = {key: clean_cell(PHOSPHATE, key) for key in ("used", "low", "high")}
        asking = plan.asking(PRODUCTS[name], tests=clean_fact("tests"), **cells, **boxes)
        return asking.text(PRODUCTS[name], unasked="")

    write_table(
        book, sheet, t,
        {
            "product": by_name(lambda name, _: f'"{name}"'), "unit": by_name(unit), "per": by_name(per),
            "refill": by_name(refill), "second": by_name(second), "allowed": by_name(most), "days": days,
            "alkalinity": lambda row: with_numbers((low, high, t.cell("charge", row)),
                                                   f"{rise}*{t.cell('charge', row)}*{steps.CACO3_PER_PO4:.12g}"),
            "potassium": by_name(potassium), "state": by_name(state), "charge": by_name(charge),
            **{f"clean_{key}": by_name(cleaned(key)) for key in ASKED},
            **steps.formulas(plan, t, rise=lambda row: with_numbers((low, high), rise, "0"), phosphate=lambda row: low,
                             charge=lambda row: t.cell("charge", row), ph=lambda row: plan["ph"],
                             alkalinity=lambda row: plan["alkalinity"]),
        },
        freeze="strength", verdicts=("state",), heading_height=58,
    )
    row = t.last_row + 2
    section(sheet, row, "What to know", len([c for c in COLUMNS if not c.hidden]))
    last = t.letter("state")
    for text in _TEXTS:
        row += 1
        sheet.merge_cells(f"A{row}:{last}{row}")
        put(sheet, f"A{row}", text, wrap=True)
        sheet.row_dimensions[row].height = 15
    sheet.print_area = f"A1:{last}{row}"
    sheet.auto_filter.ref = None
