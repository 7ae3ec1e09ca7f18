"""The science, one module a subject. Importing this fills the catalogue."""

from pailbook.functions import acclimation as acclimation
from pailbook.functions import added as added
from pailbook.functions import aeration as aeration
from pailbook.functions import ammonia as ammonia
from pailbook.functions import arrival as arrival
from pailbook.functions import breathing as breathing
from pailbook.functions import carbonate as carbonate
from pailbook.functions import convert as convert
from pailbook.functions import dosing as dosing
from pailbook.functions import excretion as excretion
from pailbook.functions import hauling as hauling
from pailbook.functions import heat as heat
from pailbook.functions import mixing as mixing
from pailbook.functions import nutrients as nutrients
from pailbook.functions import oxygen as oxygen
from pailbook.functions import phosphate as phosphate
from pailbook.functions import species as species
from pailbook.functions import survival as survival
from pailbook.functions import tanks as tanks
from pailbook.functions import transport as transport
from pailbook.functions import treatments as treatments
from pailbook.functions import trip as trip
from pailbook.functions import trip_limits as trip_limits
from pailbook.functions import uptake as uptake
from pailbook.functions import water as water
