"""The show: shots that can't be taken twice, promises made on air, and what the coming episodes can feature.

Invariant: knows nothing of books; of the bench it knows only the plan it is handed.
"""

from purfle.show.lineup import line_up
from purfle.show.plan import plan_show
from purfle.show.promises import finish_days, promises_of
from purfle.show.scene import scene_of

__all__ = ["finish_days", "line_up", "plan_show", "promises_of", "scene_of"]
