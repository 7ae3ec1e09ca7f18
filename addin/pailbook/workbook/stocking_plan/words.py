"""What the balance says in words: a verdict for each thing, and what would be enough."""

from __future__ import annotations

from pailbook.quantities import LITRES_PER_US_GALLON, Feed, FishDensity, Flow, Head, MediaVolume, PlantArea, Volume
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.stocking_plan import areas
from pailbook.workbook.stocking_plan.measures import TOTAL
from pailbook.workbook.stocking_plan.places import AS_OF, SHEETS, weeks
from pailbook.workbook.stocking_plan.weeks import NEAR
from pailbook.workbook.texts import first_that_holds

BASE = "potassium bicarbonate"
LOWEST_ALKALINITY = 20  # mg/L as CaCO3, below which pH can crash: common practice
_SOON = 21  # days until then: watch
_FEW_PLANTS = 0.5  # of the feed that the plants could use: below it they go short


def this_week(plan: Plan) -> str:
    """Formula text for the number of the week in which today's date lies; blank outside the plan."""
    number = f"(INT({AS_OF})-INT({plan['plan_start']}))/7"
    count = plan.tables[SHEETS["weeks"]].rows
    return (f'IF(COUNT({AS_OF},{plan["plan_start"]})<2,"",IF(OR({number}<0,{number}>={count}),"",INT({number})+1))')


def verdicts(plan: Plan) -> dict[str, str]:
    """Formula text of each line's verdict, by the line's key."""
    return {
        "density": _density(plan), "filter": _filter(plan), "air": _air(plan), "plants": _plants(plan),
        "alkalinity_use": _alkalinity(plan), "nitrate": _nitrate(plan), "turnover": _turnover(plan),
        "pump": _pump(plan), "small": _small(plan),
    }


def amount(plan: Plan, text: str, hint: object) -> str:
    """Formula text for a value in words: rounded to what its size in that unit system deserves, with its unit."""
    one = quantity(hint) if hint is not TOTAL else TOTAL
    digits = {"kg": 1, "lb": 1, "oz": 1, "m²": 1, "ft³": 1, "m": 2, "ft": 1, "kg/m³": 1, "lb/US gal": 3}
    unit = one.unit_in(plan.book.units)
    return f'ROUND({text},{digits.get(unit, 0)})&" {unit}"'


def _most(plan: Plan, key: str) -> tuple[str, str]:
    """Formula texts for the most that is needed, and the week of it."""
    column = weeks(plan, key)
    return f"MAX({column})", f"MATCH(MAX({column}),{column},0)"


def _from_week(plan: Plan, key: str) -> str:
    return f'MATCH(1,{weeks(plan, f"{key}_short")},0)'


def _no_more_feed(plan: Plan, key: str, week: str) -> str:
    return amount(plan, f"INDEX({weeks(plan, key)},{week})", Feed)


def _density(plan: Plan) -> str:
    most, week = _most(plan, "density")
    have, column = plan["density_most"], weeks(plan, "density")
    weight = {"metric": f"{plan['volume']}/1000", "us": plan["volume"]}[plan.book.units]  # kg/m³ of L, lb/gal of gal
    too_many = amount(plan, f"({most}-{have})*{weight}", TOTAL)
    return first_that_holds((
        (f"OR(COUNT({column})=0,COUNT({have})=0)", '""'),
        (f"{most}>{have}",
         f'"act: stocking density too high from week "&{_from_week(plan, "density")}&", by up to "&{too_many}'
         f'&" of fish in week "&{week}&": harvest sooner or stock fewer fish"'),
        (f"{most}>{NEAR}*{have}", '"watch: close to the highest stocking density in week "&' + week),
    ), f'"fine: at most "&{amount(plan, most, FishDensity)}')


def _filter(plan: Plan) -> str:
    most, week = _most(plan, "media")
    have, column = plan["media_volume"], weeks(plan, "media")
    missing = amount(plan, f"{most}-{have}", MediaVolume)
    return first_that_holds((
        (f"COUNT({weeks(plan, 'feed')})=0", '""'),
        (f"COUNT({plan['specific_surface']})=0", '"not known: choose the kind of media on Setup"'),
        (f"COUNT({have})=0",
         f'"not known: enter the filter media on Setup; the fish need "&{amount(plan, most, MediaVolume)}'),
        (f"{most}>{have}",
         f'"act: filter too small from week "&{_from_week(plan, "media")}&", by up to "&{missing}&" in week "&{week}'
         f'&": add that much, or feed no more than "&{_no_more_feed(plan, "filter_feed", week)}&" a day then"'),
        (f"{most}>{NEAR}*{have}", '"watch: the filter has little to spare in week "&' + week),
        (f"COUNT({column})=0", '""'),
    ), f'"fine: "&{amount(plan, f"{have}-{most}", MediaVolume)}&" to spare in the fullest week"')


def _air(plan: Plan) -> str:
    most, week = _most(plan, "air")
    have = plan["air_flow"]
    missing = f'ROUND({most}-{have},1)&" L/min"'
    return first_that_holds((
        (f"COUNT({weeks(plan, 'feed')})=0", '""'),
        (f"COUNT({plan['stone_depth']})=0", '"not known: enter the depth of the stones on Setup"'),
        (f"COUNT({weeks(plan, 'air')})<COUNT({weeks(plan, 'use')})",
         '"act: air cannot keep that much oxygen in such warm water: cool the water, or set less oxygen on Setup"'),
        (f"COUNT({have})=0", f'"not known: enter the air flow on Setup; the fish need "&ROUND({most},1)&" L/min"'),
        (f"{most}>{have}",
         f'"act: too little air from week "&{_from_week(plan, "air")}&", by up to "&{missing}&" in week "&{week}'
         f'&": use a larger pump, finer or deeper stones, or feed no more than "'
         f'&{_no_more_feed(plan, "air_feed", week)}&" a day then"'),
        (f"{most}>{NEAR}*{have}", '"watch: the air pump has little to spare in week "&' + week),
    ), f'"fine: "&ROUND({have}-{most},1)&" L/min to spare in the fullest week. Keep a spare pump and air on a battery"')


def _plants(plan: Plan) -> str:
    most, week = _most(plan, "area")
    area, feed_taken, feed = areas.total(plan, "area"), areas.total(plan, "feed"), weeks(plan, "feed")
    short = amount(plan, f"{most}-{area}", PlantArea)
    tiny = f"AND(COUNT({plan['volume']})=1,{plan['volume']}<{plan['tiny_system']})"
    return first_that_holds((
        (f"COUNT({feed})=0", '""'),
        (f"{feed_taken}=0", '"not known: enter your crops on Areas"'),
        (tiny, '"watch: plan such a small system by its fish and filter; the plants take what there is"'),
        (f"{most}>{area}",
         f'"watch: more feed than the plants can use from week "&{_from_week(plan, "area")}&": plant "&{short}'
         f'&" more by week "&{week}&", feed no more than "&{amount(plan, feed_taken, Feed)}&" a day, or change water, '
         f'because nitrate builds up"'),
        (f"MAX({feed})<{_FEW_PLANTS}*{feed_taken}",
         f'"watch: even the highest daily feed is enough for only "&{amount(plan, most, PlantArea)}&" of your "'
         f'&{amount(plan, area, PlantArea)}&" of plants: stock more fish, grow fewer plants, or dose nutrients"'),
    ), f'"fine: the plants can use up to "&{amount(plan, feed_taken, Feed)}&" of feed a day"')


def _alkalinity(plan: Plan) -> str:
    most, _ = _most(plan, "alkalinity")
    litres = {"metric": "", "us": f"*{LITRES_PER_US_GALLON}"}[plan.book.units]
    a_day = f"({most}*1000/({plan['volume']}{litres}))"
    cubic_metre = f"{plan.book.show(quantity(Volume), 1000):.12g}"
    per_gram = plan.book.call("ALKALINITY_ADDED", f'"{BASE}"', "1", cubic_metre, "100")  # mg/L of 1000 L: g of a g
    says = (f'"the filter uses up to "&ROUND({most},0)&" g of alkalinity a day ("&ROUND({a_day},1)&" mg/L); about "'
            f'&ROUND({most}/{per_gram},0)&" g a day of {BASE} replaces it, in small doses (see the dosing plan)"')
    now = this_week(plan)
    today = f"IF({now}=\"\",{most},INDEX({weeks(plan, 'alkalinity')},MAX(1,SUM({now}))))"
    today = f"MAX({today}*1000/({plan['volume']}{litres}),0.001)"
    days = f"MIN(({plan['alkalinity']}-{LOWEST_ALKALINITY})/{today},999)"
    lasts = (f'". Without it, alkalinity falls to {LOWEST_ALKALINITY} mg/L in "&'
             f'IF({days}<2,"a day","about "&INT({days})&" days")')
    test = '". Test alkalinity weekly"'
    return first_that_holds((
        (f"OR(COUNT({weeks(plan, 'alkalinity')})=0,COUNT({plan['volume']})=0)", '""'),
        (f"{most}=0", '"fine: no feed, so none is used up"'),
        (f"COUNT({plan['alkalinity']})=0", f'"watch: "&{says}&{test}'),
        (f"{plan['alkalinity']}<={LOWEST_ALKALINITY}",
         f'"act: alkalinity is too low and pH can crash overnight; "&{says}'),
        (f"{days}<{_SOON}", f'"watch: "&{says}&{lasts}'),
    ), f'"fine: "&{says}&{lasts}')


def _nitrate(plan: Plan) -> str:
    most, _ = _most(plan, "nitrate")
    litres = {"metric": "", "us": f"*{LITRES_PER_US_GALLON}"}[plan.book.units]
    return (f'IF(OR(COUNT({weeks(plan, "nitrate")})=0,COUNT({plan["volume"]})=0),"",'
            f'"up to "&ROUND({most}*1000/({plan["volume"]}{litres}),1)&" mg/L a day; plants and water changes '
            f'remove it")')


def _turnover(plan: Plan) -> str:
    now, least, volume, flow = (plan[key] for key in ("turnover_now", "turnover_least", "volume", "flow"))
    missing = amount(plan, f"{least}*{volume}-{flow}", Flow)
    return first_that_holds((
        (f"COUNT({volume})=0", '""'),
        (f"COUNT({flow})=0", '"not known: enter the flow on Setup"'),
        (f"{now}<{least}", f'"watch: the flow is "&{missing}&" too small: clean pump and pipes, or fit a larger pump"'),
    ), '"fine"')


def _pump(plan: Plan) -> str:
    total, have = plan["total_head"], plan["pump_head"]
    missing = amount(plan, f"{total}-{have}", Head)
    needs = f'"a pump for this draws about "&ROUND({plan["pump_watts"]},0)&" W"'
    return first_that_holds((
        (f"COUNT({plan['flow']})=0", '""'),
        (f"COUNT({total})=0", '"not known: enter lift, pipe length and pipe diameter on Setup"'),
        (f"COUNT({have})=0", f'"watch: compare the head with the curve on the pump\'s label; "&{needs}'),
        (f"{total}>{have}", f'"act: the pump lacks "&{missing}&" of head at that flow: use a wider or shorter '
                            f'pipe, less lift, or another pump"'),
    ), f'"fine: "&{needs}')


def _small(plan: Plan) -> str:
    volume = plan["volume"]
    return first_that_holds((
        (f"COUNT({volume})=0", '""'),
        (f"{volume}<{plan['tiny_system']}",
         '"watch: very little water: a missed test, a power cut or a handful of feed too much can kill within hours. '
         'Keep few small fish, feed by hand, test daily, and plan by the fish, not by the plants (common practice)"'),
        (f"{volume}<{plan['small_system']}",
         '"watch: little water changes fast: stock half as densely as a large system, test every day or two, feed '
         'small portions, and keep air on a battery (common practice)"'),
    ), '"fine"')
