"""What is wrong with the figures that sheets are worked out from, each at its line with its mend.

Invariant: warns only. A wrong gauge or window makes no figure of the books wrong.
"""

from purfle.base.names import folded
from purfle.base.near import misspelt_for
from purfle.base.trouble import Troubles, Wrong
from purfle.notes.model import Build
from purfle.notes.records.build import Packed
from purfle.notes.records.shop import CureSheet, ShopSheet
from purfle.progress.model import Progress
from purfle.progress.warmth import celsius
from purfle.sheets.check_specs import check_specs, implausible
from purfle.sheets.recoat import Work, missed_windows, refused_layers, window


def check_build(settings: ShopSheet, build: Build, progress: Progress, work: Work, troubles: Troubles) -> None:
    """Tell what is wrong with one build's specification, parcel and coats."""
    if build.sheet.specs is not None:
        check_specs(build.sheet.specs, settings.sheets.load_share, troubles)
    _layers(settings, progress, troubles)
    _windows(settings, progress, work, troubles)
    if build.sheet.packed is not None:
        _parcel(build.sheet.packed, troubles)


def check_cures(settings: ShopSheet, troubles: Troubles) -> None:
    """Tell windows of the cure table that can't be read, and layers it has no entry for."""
    names = {folded(entry.name): entry.name for entry in settings.cures}
    for entry in settings.cures:
        cure: CureSheet = entry.value
        if cure.recoat is not None:
            try:
                window(cure.recoat)
            except Wrong as wrong:
                troubles.wrong(cure.where("recoat"), wrong)
        _temperature(cure, settings, troubles)
        for name in cure.not_over:
            if folded(name) not in names:
                others = [other for other in names.values() if other != entry.name]
                near = misspelt_for(name, others)
                mend = f"write {near}" if near else f"add {name} under cures:, or take it out"
                troubles.add(cure.where("not_over"), "layer-unknown", f"the cure table has no entry {name}", mend)


def _temperature(cure: CureSheet, settings: ShopSheet, troubles: Troubles) -> None:
    """Tell a temperature that can't be read, where the room's warmth would bend the cure by it."""
    if settings.room and cure.at_temperature is not None and cure.sheet is None and cure.bends and celsius(cure.at_temperature) is None:
        found = f"the temperature “{cure.at_temperature}” can't be read, so this cure is not adjusted for the room"
        troubles.add(
            cure.where("at_temperature"),
            "temperature-unreadable",
            found,
            "write degrees with C or F, such as 20 C, or bends: no if the cure is to stay as written",
        )


def _layers(settings: ShopSheet, progress: Progress, troubles: Troubles) -> None:
    for upper, lower, entry in refused_layers(settings, progress):
        found = f"{upper.name} puts {upper.coat} straight over {lower.coat}, which the cure table marks as not to be done"
        troubles.add(upper.at, "layers-incompatible", found, f"{_authority(entry.sheet)}; put a barrier between them, or choose another coat")


def _windows(settings: ShopSheet, progress: Progress, work: Work, troubles: Troubles) -> None:
    for missed in missed_windows(settings, progress, work):
        gap = (
            _time(missed.least)
            if missed.least == missed.most
            else f"{_time(missed.least)} to {_time(missed.most)}"
            if missed.least > 0
            else f"at most {_time(missed.most)}"
        )
        under = "the coat before it" if missed.under == missed.stage else missed.under
        found = f"a coat of {missed.stage} went on {gap} after {under}, whose window is {missed.window}"
        troubles.add(
            missed.at, "recoat-missed", found, f"{_authority(missed.sheet)}: the coat may want sanding, or to come off; mend the time if it was noted wrong"
        )


def _authority(sheet: str | None) -> str:
    return f"see the product's data sheet ({sheet}), which is the authority" if sheet else "see the product's data sheet, which is the authority"


def _time(hours: float) -> str:
    if hours < 1:
        return f"{hours * 60:.0f} min"
    return f"{hours:.0f} h" if hours >= 10 or abs(hours - round(hours)) < 0.05 else f"{hours:.1f} h"


def _parcel(packed: Packed, troubles: Troubles) -> None:
    sides = {name: side for name in ("length", "width", "height") if (side := getattr(packed, name)) is not None}
    for name, side in sides.items():
        if not 10 <= side.mm <= 3000:
            implausible(troubles, packed.where(name), f"a box {side} in {name} is no parcel", "check the unit: write it as 120 cm, 1200 mm or 47 in")
