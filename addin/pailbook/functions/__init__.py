"""The science, one module a subject. Importing this fills the catalogue."""

from pailbook.functions import ammonia as ammonia
