"""A year of the demo shop's promises, told again from the raw files with PyYAML and a dozen lines of plain Python."""

from datetime import date
from decimal import Decimal

import yaml
from demo_shop import ROOT, TODAY, analysis


def front(path):
    return yaml.safe_load(path.read_text("utf-8").split("---")[1])


def order_of(build):
    sheet = front(ROOT / "builds" / build / "build.md")
    route = front(ROOT / "shop.md")["routes"].get(sheet.get("route"), [])
    own = sheet.get("stages") or []
    stages = [s if isinstance(s, str) else s["stage"] for s in [*route, *(own if isinstance(own, list) else [own])]]
    return list(dict.fromkeys(stages))


def told_again():
    episodes = sorted((date.fromisoformat(p.name[:10]), front(p)) for p in ROOT.glob("journal/episodes/*.md"))
    aired = [(day, e) for day, e in episodes if day <= TODAY and (e.get("aired") or e.get("link"))]
    for day, episode in aired:
        for promise in episode.get("promises") or []:
            later = [(d, e) for d, e in aired if d > day]
            yield (day, promise.get("build"), promise["do"], *outcome(promise, later))


def outcome(promise, later):
    build, do = promise.get("build"), promise["do"]
    order = order_of(build) if build else []
    shown = [(d, s.get("stage")) for d, e in later for s in e.get("segments") or [] if build and s.get("build") == build]
    kept = next((d for d, stage in shown if do == "start" or (stage and order.index(stage) >= order.index(do))), None)
    due = promise.get("by") or (later[0][0] if later and promise.get("in") == "next" else None)
    if kept:
        return ("kept late" if due and kept > due else "kept"), kept
    if "withdrawn" in promise:
        return "withdrawn", None
    return ("late" if due and due <= TODAY else "waiting"), None


def test_a_year_of_promises_is_told_right():
    seen = [(p.episode, p.build, p.do, "waiting" if p.state in ("open", "due") else p.state, p.kept_on) for p in analysis().promises]
    again = list(told_again())
    assert seen == again
    assert {"kept", "kept late", "late", "withdrawn", "waiting"} <= {state for *_, state, _ in again}


def test_what_builds_earned_on_air_is_what_their_episodes_earned():
    """Summed from the raw files: every income that has come, of episodes that aired and showed a build."""
    episodes = [(date.fromisoformat(p.name[:10]), front(p)) for p in ROOT.glob("journal/episodes/*.md")]
    aired = [(day, e) for day, e in episodes if day <= TODAY and (e.get("aired") or e.get("link")) and any(s.get("build") for s in e.get("segments") or [])]
    came = [Decimal(str(i["amount"])) for day, e in aired for i in e.get("income") or [] if (i.get("date") or day) <= TODAY]
    took = [Decimal(str(hours)) for _, e in aired for hours in (e.get("hours") or {}).values()]
    shares = analysis().air_income
    assert came and (sum(s.amount for s in shares), sum(s.hours for s in shares)) == (sum(came), sum(took))
