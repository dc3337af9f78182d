"""The bench plan: what to work on, in which order, and how sure each date is.

Invariant: knows nothing of money, the show or pages; the solver and numpy are imported only when a plan is computed.
"""

from purfle.bench.attended import attendance_troubles
from purfle.bench.plan import order_of, plan_bench
from purfle.bench.shelf import moves_of

__all__ = ["attendance_troubles", "moves_of", "order_of", "plan_bench"]
