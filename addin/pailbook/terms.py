"""One word for one thing, in two Englishes: what labels and headings are made from, and the words that are refused.

Texts are written in international English; `american` turns them into US spelling and words for US workbooks, and
`international` turns what a US workbook holds back, so that a choice means the same in both.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

# What labels and headings are made from. ----------------------------------------------------------------
TOTAL_AMMONIA = "Total ammonia (TAN)"
UNIONISED_AMMONIA = "Un-ionised ammonia (NH3-N)"
NITRITE, NITRATE, PHOSPHATE = "Nitrite", "Nitrate", "Phosphate"
ALKALINITY, HARDNESS = "Alkalinity", "Hardness"
ALKALINITY_ONCE, HARDNESS_ONCE = "Alkalinity (KH)", "Hardness (GH)"  # once per sheet, as kits print them
DISSOLVED_OXYGEN = "Dissolved oxygen (DO)"
CARBON_DIOXIDE = "Carbon dioxide (CO2)"
WATER_TEMPERATURE = "Water temperature"
COHORT = "Cohort"
STOCKING_DENSITY, HAULING_DENSITY = "Stocking density", "Hauling density"
LOWER_END, UPPER_END = "Lower end of the target", "Upper end of the target"
FEEDING_RATE = "Feeding rate"
MEAN_WEIGHT, TOTAL_WEIGHT, SAMPLE_WEIGHT = "Mean weight", "Total weight", "Weight of the sample"
RESOLUTION = "Resolution"
COMMON_PRACTICE = "common practice (no published source)"

# The outcomes of a rule, the most serious first, and the answers of a plan.
ACT, NOT_KNOWN, WATCH, FINE, NOT_ASKED = "act", "not known", "watch", "fine", "not asked"
GO, WITH_CARE, NO_GO, NOT_YET = "go", "go with care", "no-go", "not yet"

# International words and their US form, whole words; longer ones first where one begins like another. -----
PAIRS = (
    ("un-ionised", "un-ionized"), ("ionised", "ionized"), ("oxidises", "oxidizes"), ("oxidise", "oxidize"),
    ("oxidised", "oxidized"), ("neutralises", "neutralizes"), ("neutralise", "neutralize"),
    ("fertilisers", "fertilizers"), ("fertiliser", "fertilizer"), ("litres", "liters"), ("litre", "liter"),
    ("anaesthetics", "anesthetics"), ("anaesthetic", "anesthetic"),
    ("acclimatise", "acclimate"), ("colours", "colors"), ("colour", "color"), ("grey", "gray"), ("mould", "mold"),
    ("travelled", "traveled"),
    ("millilitres", "milliliters"), ("millilitre", "milliliter"), ("licences", "licenses"), ("licence", "license"),
    ("mains electricity", "household current"), ("trolley", "hand truck"), ("permitted load", "payload"),
    ("leaflet", "instructions"), ("first quarter of an hour", "first fifteen minutes"),
    ("a quarter of an hour", "fifteen minutes"),
    ("residual-current device (RCD)", "ground-fault circuit interrupter (GFCI)"), ("RCD", "GFCI"),
)


def _pattern(words: list[str]) -> re.Pattern[str]:
    longest_first = sorted(words, key=len, reverse=True)
    return re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, longest_first))})(?![\w-])", re.IGNORECASE)


_TO_US = {here.casefold(): there for here, there in PAIRS}
_FROM_US = {there.casefold(): here for here, there in PAIRS}
_INTERNATIONAL, _AMERICAN = _pattern(list(_TO_US)), _pattern(list(_FROM_US))


def american(text: str) -> str:
    """The text in US spelling and words; a capital at the beginning of a word stays one."""
    return _INTERNATIONAL.sub(lambda found: _like(found[0], _TO_US[found[0].casefold()]), text)


def international(text: str) -> str:
    """The text of a US workbook as the international one has it."""
    return _AMERICAN.sub(lambda found: _like(found[0], _FROM_US[found[0].casefold()]), text)


def _like(model: str, word: str) -> str:
    return word[0].upper() + word[1:] if model[0].isupper() else word


# Words that are refused in what a person reads. ------------------------------------------------------------
@dataclass(frozen=True)
class Refused:
    """A pattern that must not stand in what a person reads, what to say instead, and where it may stand all the same.

    pattern, allowed : regular expressions; a hit that lies within a hit of `allowed` in the same text is let pass.
    """

    pattern: str
    say: str
    allowed: str = ""

    def hits(self, text: str) -> list[str]:
        """What stands in the text and must not, each with some words around it."""
        passed = [found.span() for found in re.finditer(self.allowed, text, re.IGNORECASE)] if self.allowed else []
        return [
            text[max(0, found.start() - 30):found.end() + 30]
            for found in re.finditer(self.pattern, text, re.IGNORECASE)
            if not any(start <= found.start() and found.end() <= end for start, end in passed)
        ]


REFUSED = (
    Refused(r"\bTAN-N\b", "total ammonia (TAN), mg/L as N"),
    Refused(r"total ammonia as N\b(?! \()", "total ammonia (TAN), mg/L as N"),
    Refused(r"\bammonia \(NH3\)|\bNH3 was known\b", "un-ionised ammonia (NH3-N)"),
    Refused(r"\b(?:buckets?|pails?|drums?|tubs?)\b", "vessel",
            r"BUCKET\\?_LOAD|bucket_load|\bsuch as (?:a |an )?(?:bucket|drum|tub|pail)s?(?:(?:, | or )(?:a )?\w+)*|"
            r"vessels \([^)]*\)|a bucket of clean water|fill a bucket|buckets and drums"),
    Refused(r"\b(?:fish )?loading (?:rule|density)|(?-i:\bLOADING\b)|\bhaul loading\b", "hauling density"),
    Refused(r"\bbatch(?:es)?\b(?! file| of (?:rows|values|cells))",
            "cohort (fish kept together); sample (fish weighed)"),
    Refused(r"\b(?:your|the|a|own|target|phosphate) band\b|\bbands?\b(?= (?:from|to|that|is|must)\b)", "target range"),
    Refused(r"\bthresholds?\b", "limit"),
    Refused(r"\bfloor\b", "limit", r"(?:on|to|from|across) the floor|(?-i:\bFLOOR\b)"),  # the worksheet function
    Refused(r"\b(?:kit's|kit|half a|half a kit|whole kit) steps?\b|\bsteps? of (?:the|your) kit\b|\bkit steps\b",
            "resolution"),
    Refused(r"\bwork(?:s|ed|ing)? (?:itself |them(?:selves)? |it )?out\b(?! of)", "calculate, calculated"),
    Refused(r"\bfunctions answer\b|\bdo the functions answer\b", "installed, not installed"),
    Refused(r"\babsent\b", "not installed; not known"),
    Refused(r"\bwins\b", "overrides, is used instead"),
    Refused(r"\bfalls? out\b|\bfalling out\b", "precipitates, precipitation"),
    Refused(r"\b19 times (?:of|in) 20\b|\b95 times in 100\b", "95 % interval"),
    Refused(r"\bcannot (?:be told|tell)\b", "not known"),
    Refused(r"\btrade page\b|\bnone to rely on\b", COMMON_PRACTICE),
    Refused(r"\b(?:a row a|a line a|a day a) \w+", "one row per test, and so on"),
    Refused(r"\bSystems that say\b|\bKits that say\b|\bChecks that say\b",
            "Systems that need action now; Kits to replace"),
    Refused(r"\bwithout losses\b", "checks the risks of a move"),
    Refused(r"\bturn to the nearer end\b", "drive to whichever end is nearer"),
    Refused(r"\bwait as shown\b", "the minutes themselves"),
    Refused(r"\bmust be survived\b", "delay to allow for"),
    Refused(r"\ba value of its own; the rest as for all\b", "species value; otherwise the general limit"),
    Refused(r"\bblank box leaves what is assumed\b", "leave blank to use the assumed value; your entry overrides it"),
    Refused(r"\band who to ask\b", "Safety notes"),
    Refused(r"\bdoes not replace licensed practice\b", "is not professional advice"),
    Refused(r"\btwins?\b", "name what it is", r"twin(?:-| )walled"),
    Refused(r"\bvouch(?:es|ed)?\b", "confirm, show"),
    Refused(r"\bin sight\b", "shown, listed"),
    Refused(r"\bwhere (?:the|a) text is none\b", "if the text is not one"),
    Refused(r"\btold\b", "say who says it: given, shown, reported"),
    Refused(r"\bSee why; test again\b", "Fix the cause shown; test again within 2 days"),
    Refused(r"\bfeed a day in the end, share\b|\bfeed a day as percent\b", "feeding rate, % of body weight a day"),
    Refused(r"\bmains water\b|\bmains with\b", "tap water"),
    Refused(r"\bmains power\b", "mains electricity"),
    Refused(r"\bpowder pillows?\b", "powder sachets"),
)


def refused(text: str) -> list[str]:
    """Every refused word in a text, with what to say instead."""
    return [f"{hit!r}: say {row.say}" for row in REFUSED for hit in row.hits(text)]
