"""A second opinion on a plan: every constraint derived again, from the situation and the days alone."""

import math

from purfle.bench.place import Laid
from purfle.bench.steps import Situation


def faults(situation: Situation, laid: Laid) -> list[str]:
    """Everything a laid plan breaks; empty for a sound one."""
    found: list[str] = []
    used = [0] * situation.horizon
    for number, placed in enumerate(laid.placed):
        if placed is None:
            if number not in dict(laid.why):
                found.append(f"{number} is missing without a reason")
            continue
        step = situation.steps[number]
        if sum(q for _, q in placed.days) != step.quarters or any(q < 1 for _, q in placed.days):
            found.append(f"{number} has the wrong hours")
        if step.whole and len(placed.days) > 1:
            found.append(f"{number} is whole and split")
        start = placed.days[0][0] if placed.days else placed.ends
        wait = 0.0 if step.wait is None else float(step.wait.low + 4 * step.wait.likely + step.wait.high) / 6
        wait = max(1.0, wait - step.away) if step.away else wait
        if abs(placed.free - (placed.days[-1][0] if placed.days else placed.ends) - wait - step.cure_days) > 1e-6:
            found.append(f"{number} is freed on the wrong day")
        if start < step.release or any(start < w.day for w in step.waiting):
            found.append(f"{number} begins before it may")
        for day, quarters in placed.days:
            used[day] += quarters
            if any(first <= day <= last for first, last in step.closed):
                found.append(f"{number} is worked on while on hold")
        if step.cured and placed.days and placed.days[0][0] == 0 and step.cured + placed.days[0][1] > situation.free[0]:
            found.append(f"{number} does not wait out the hours of what was finished today")
        for before in step.after:
            earlier = laid.placed[before]
            if earlier is None or (math.ceil(earlier.free - 1e-9) if placed.days else earlier.free - 1e-9) > start:
                found.append(f"{number} begins before {before} is free")
            elif earlier.days and placed.days and earlier.days[-1][0] == start:
                cure = situation.steps[before].cure_quarters
                if cure and earlier.days[-1][1] + cure + placed.days[0][1] > situation.free[int(start)]:
                    found.append(f"{number} does not wait out the hours of {before}")
    return found + [f"day {day} is overfull" for day, quarters in enumerate(used) if quarters > situation.free[day]]
