"""Rules: what is to be acted on, watched, fine, not asked or not known; declared once, derived for every reader."""

from pailbook.rules.clean_cell import clean as clean
from pailbook.rules.declaration import Rule as Rule
from pailbook.rules.declaration import Rungs as Rungs
from pailbook.rules.declaration import act as act
from pailbook.rules.declaration import fine as fine
from pailbook.rules.declaration import needs as needs
from pailbook.rules.declaration import not_asked as not_asked
from pailbook.rules.declaration import not_asked_if_blank as not_asked_if_blank
from pailbook.rules.declaration import rule as rule
from pailbook.rules.declaration import same_question as same_question
from pailbook.rules.declaration import skips as skips
from pailbook.rules.declaration import watch as watch
from pailbook.rules.expression import BadRule as BadRule
from pailbook.rules.expression import Question as Question
from pailbook.rules.expression import by_units as by_units
from pailbook.rules.expression import first_that_suffices as first_that_suffices
from pailbook.rules.expression import fixed as fixed
from pailbook.rules.expression import is_blank as is_blank
from pailbook.rules.expression import listed as listed
from pailbook.rules.expression import ours as ours
from pailbook.rules.expression import say as say
from pailbook.rules.expression import shown as shown
from pailbook.rules.expression import unit_of as unit_of
from pailbook.rules.in_python import Judged as Judged
from pailbook.rules.in_sheet import Sheet as Sheet
from pailbook.rules.judging import judge as judge
