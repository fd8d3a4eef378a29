# The public names of the library, each once: type checkers read this file, and __init__.py reads it for the rest.

from nesting import frames as frames
from nesting import pictures as pictures
from nesting.errors import CannotBeCutError as CannotBeCutError
from nesting.errors import Fault as Fault
from nesting.errors import JobError as JobError
from nesting.errors import LayoutError as LayoutError
from nesting.errors import LengthError as LengthError
from nesting.errors import MoneyError as MoneyError
from nesting.errors import Obstacle as Obstacle
from nesting.errors import PlanFileError as PlanFileError
from nesting.errors import ShelfError as ShelfError
from nesting.errors import UnreadableError as UnreadableError
from nesting.errors import WindowfallError as WindowfallError
from nesting.model.job import Job as Job
from nesting.model.job import When as When
from nesting.model.plan import Plan as Plan
from nesting.offers import with_discount as with_discount
from nesting.options import Options as Options
from nesting.plan import make_plan as make_plan
from nesting.reading.job import read_job as read_job
from nesting.scenarios.compare import Comparison as Comparison
from nesting.scenarios.compare import compare as compare
from nesting.sizing import size_pieces as size_pieces

__version__: str
