"""The literature that the functions rest on, one entry per work, with its errata.

Cite a place within a work as EMERSON_1975.at("table 2").
"""

from __future__ import annotations

from dataclasses import dataclass

from pailbook.terms import COMMON_PRACTICE as UNSOURCED


@dataclass(frozen=True)
class Work:
    """A publication."""

    reference: str  # who, when, what, where
    doi: str = ""
    errata: str = ""  # what is known to be wrong in copies of it

    def at(self, place: str) -> Citation:
        """This work, cited at a table, page or equation."""
        return Citation(self, place)


@dataclass(frozen=True)
class Citation:
    """A place in a work."""

    work: Work
    place: str

    def __str__(self) -> str:
        doi = f". doi:{self.work.doi}" if self.work.doi else ""
        return f"{self.work.reference}, {self.place}{doi}"


EMERSON_1975 = Work(
    "Emerson, Russo, Lund & Thurston 1975, Aqueous ammonia equilibrium calculations: effect of pH and "
    "temperature, J. Fish. Res. Board Can. 32:2379-2383",
    "10.1139/f75-274",
    errata="Some copies print 2727.92 instead of 2729.92, which makes the un-ionised share 1.6 % too high.",
)
DAVIES_1962 = Work("Davies 1962, Ion Association, Butterworths, London")
MALMBERG_MARYOTT_1956 = Work(
    "Malmberg & Maryott 1956, Dielectric constant of water from 0 to 100 C, J. Res. Natl. Bur. Stand. 56:1-8",
)
USEPA_2013 = Work("USEPA 2013, Aquatic Life Ambient Water Quality Criteria for Ammonia - Freshwater, EPA 822-R-13-001")
BENSON_KRAUSE_1984 = Work(
    "Benson & Krause 1984, The concentration and isotopic fractionation of oxygen dissolved in freshwater and "
    "seawater in equilibrium with the atmosphere, Limnol. Oceanogr. 29:620-632",
    "10.4319/lo.1984.29.3.0620",
)
USGS_2011 = Work("USGS Office of Water Quality Technical Memorandum 2011.03")
STANDARD_ATMOSPHERE_1976 = Work("U.S. Standard Atmosphere 1976, NOAA-S/T 76-1562")
CLARKE_JOHNSTON_1999 = Work(
    "Clarke & Johnston 1999, Scaling of metabolic rate with body mass and temperature in teleost fish, "
    "J. Anim. Ecol. 68:893-905",
    "10.1046/j.1365-2656.1999.00337.x",
    errata="The paper's other line (intercept -5.43) gives less than half as much; do not mix the two.",
)
YAMANAKA_2013 = Work("Yamanaka et al. 2013, resting metabolic rate of Carassius by mass and temperature")
AERATION = Work(
    "Standard oxygen transfer rate corrected to field conditions, as in ASCE/EWRI 2 and aquaculture engineering texts",
)
PLUMMER_BUSENBERG_1982 = Work(
    "Plummer & Busenberg 1982, The solubilities of calcite, aragonite and vaterite in CO2-H2O solutions between "
    "0 and 90 C, Geochim. Cosmochim. Acta 46:1011-1040",
    "10.1016/0016-7037(82)90056-4",
)
BALL_NORDSTROM_1991 = Work(
    "Ball & Nordstrom 1991, User's manual for WATEQ4F, with revised thermodynamic data base, U.S. Geological Survey "
    "Open-File Report 91-183",
)
NIST46 = Work("NIST Critically Selected Stability Constants of Metal Complexes, Standard Reference Data 46")
IUPAC_2021 = Work(
    "IUPAC, Standard atomic weights of the elements 2021, Pure Appl. Chem. 94:573-600",
    "10.1515/pac-2019-0603",
)
DOROZHKIN_2010 = Work(
    "Dorozhkin 2010, Calcium orthophosphates, Materials 3:3994-4030 (solubility products at 25 C)",
    "10.3390/ma3073994",
)
PIPER_1982 = Work("Piper et al. 1982, Fish Hatchery Management, US Fish and Wildlife Service")
FAO_589 = Work(
    "Somerville, Cohen, Pantanella, Stankus & Lovatelli 2014, Small-scale aquaponic food production, FAO Fisheries "
    "and Aquaculture Technical Paper 589",
)
SRAC_283 = Work("SRAC Publication 283, Tilapia: life history and biology")
SRAC_462 = Work("Durborow, Crosby & Brunson, SRAC Publication 462, Nitrite in fish ponds")
UF_IFAS_FA16 = Work("Francis-Floyd, Watson, Petty & Pouder, UF/IFAS FA-16, Ammonia in aquatic systems")
QUEENSLAND = Work("Queensland Government, species notes for aquaculture")
AGRIFUTURES = Work("AgriFutures Australia, species notes for aquaculture")
NORIN_2014 = Work("Norin, Malte & Clark 2014, J. Exp. Biol. 217:244-251", "10.1242/jeb.089755")
HUYSMAN_2020 = Work("Huysman et al. 2020, survival of rainbow trout at high temperature")
USFWS_CATFISH = Work("US Fish and Wildlife Service, Habitat suitability index: channel catfish")
NCRAC = Work("North Central Regional Aquaculture Center, yellow perch culture")
LAWSON_ALAKE_2011 = Work("Lawson & Alake 2011, salinity tolerance of goldfish")
HANDBOOK_DENSITY = Work("Handbook tables of the density of aqueous solutions at 20 C")
LEAST_SQUARES = Work("NIST/SEMATECH e-Handbook of Statistical Methods, section 4.4.3.1, least squares")
DUPREE_HUNER_1984 = Work("Dupree & Huner 1984, Third Report to the Fish Farmers, US Fish and Wildlife Service")
EMMANUEL_2013 = Work("Emmanuel et al. 2013, condition of transported Nile tilapia")
SIMPKINS_HUBERT_1996 = Work(
    "Simpkins & Hubert 1996, Proposed revision of the standard-weight equation for rainbow trout, J. Freshw. Ecol. "
    "11:319-325",
)
RED_TILAPIA_AMMONIA = Work(
    "Ammonia excretion of red tilapia from 20 to 200 g in a recirculating system, Iranian J. Fish. Sci., 114814",
)
HAULING_TEST = Work("Hauling-tank aeration test, 908 kg of 23 cm channel catfish in 2650 L for 4 h (abstract)")
WYNNE_2007 = Work("Wynne 2007, Live hauling food size channel catfish, World Aquaculture 38(1):41-45")
JENSEN_1990 = Work("Jensen 1990, Transportation of warmwater fish: equipment and guidelines, SRAC Publication 390")
WARMWATER_HATCHERY = Work(
    "American Fisheries Society, Practical Hatchery Management of Warmwater Fishes", "10.47886/9781934874592.ch12",
)
WOAH_CODE = Work("World Organisation for Animal Health, Aquatic Animal Health Code, 2010")
LSU_MINNOW = Work("LSU AgCenter, Cocahoe minnow production manual")
BARTHEL_2003 = Work(
    "Barthel, Cooke, Suski & Philipp 2003, Effects of landing net mesh type on injury and mortality in a freshwater "
    "recreational fishery, Fish. Res. 63:275-282",
)
COLT_2011 = Work(
    "Colt et al. 2011, Water quality in tilapia transport: from the farm to the retail store, N. Am. J. Aquac. 73",
    "10.1080/15222055.2011.629946",
)
UF_IFAS_CATFISH = Work("UF/IFAS circular on channel catfish, dechlorination of tap water")
LSU_STOCKING = Work("LSU AgCenter, Stocking procedures: tempering fish to new water")
CONDUCTANCE_TABLE = Work(
    "Handbook table of the equivalent conductivity of sodium chloride in water at 25 C (CRC Handbook of Chemistry and "
    "Physics)",
)
WILSON_1927 = Work(
    "Wilson 1927, Probable inference, the law of succession, and statistical inference, J. Am. Stat. Assoc. 22:209-212",
    "10.1080/01621459.1927.10502953",
)
HEAT_BALANCE = Work("Heat balance of a mixed vessel; specific heat 4.186 kJ/kg/K, fusion 334 kJ/kg")
GAS_TRANSFER = Work(
    "Two-film theory of gas transfer: coefficients go with the square root of the gases' diffusivities in water",
)
RAKOCY_2007 = Work("Rakocy 2007, Ten guidelines for aquaponic systems, Aquaponics Journal 46:14-17")
IWAMA_TAUTZ_1981 = Work(
    "Iwama & Tautz 1981, A simple growth model for salmonids in hatcheries, Can. J. Fish. Aquat. Sci. 38:649-656",
    "10.1139/f81-087",
    errata="Some authors give the coefficient times 100; here it is times 1000.",
)
JOBLING_2003 = Work(
    "Jobling 2003, The thermal growth coefficient (TGC) model of fish growth: a cautionary note, Aquac. Res. "
    "34:581-584",
    "10.1046/j.1365-2109.2003.00859.x",
)
TIMMONS_EBELING = Work("Timmons & Ebeling, Recirculating Aquaculture")
CHURCHILL_1977 = Work("Churchill 1977, Friction-factor equation spans all fluid-flow regimes, Chem. Eng. 84(24):91-92")
WATER_AT_20_C = Work("Water at 20 C: 998.2 kg/m3 and 1.004e-6 m2/s (IAPWS); standard gravity 9.80665 m/s2")
COMMON_PRACTICE = Work(UNSOURCED[0].upper() + UNSOURCED[1:])
GEOMETRY = Work("Geometry and the definition of the units")
