"""The shop's settings, `shop.md`."""

import re
from dataclasses import dataclass
from datetime import date as Day
from decimal import Decimal
from typing import ClassVar, Literal, get_args

from purfle.base import meant
from purfle.base.quantities import DistanceUnit, amount
from purfle.base.times import Wait, hours
from purfle.base.trouble import Wrong
from purfle.notes.records.stages import StageSheet
from purfle.notes.vocabulary import schemas
from purfle.notes.vocabulary.fields import Record, key
from purfle.notes.vocabulary.kinds import (
    AMOUNT,
    CELSIUS,
    COUNT,
    CURRENCY,
    DAY,
    HOURS,
    LANGUAGE,
    LARGE_PERCENT,
    LINK,
    MINUTES,
    NUMBER,
    PERCENT,
    TEXT,
    WAIT,
    YEAR,
    YES_NO,
    many,
    one_of,
    part,
    scalar,
)
from purfle.notes.vocabulary.named import Named, named

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
WEEKDAYS: tuple[Weekday, ...] = get_args(Weekday)
"""In the order of `date.weekday`."""
StockMethod = Literal["first in", "average"]
TakenOn = Literal["price", "price and shipping", "total"]
Paper = Literal["A4", "letter"]
Every = Literal["week", "month", "quarter", "year"]
TaxForm = Literal["us-schedule-c", "uk-sa103f"]
TAX_FORMS: tuple[TaxForm, ...] = get_args(TaxForm)
"""The tables in data/tax_forms/."""
Divisor = Literal["cm3/kg", "in3/lb"]


def _start_mend(text: str) -> str:
    end = text[4:] if re.fullmatch(r"[0-9]{4}(-[0-9]{2}){2}", text) else meant.month_and_day(text)
    return f"write {end[1:]}" if end and int(end[-2:]) <= 28 else "write it as 01-01 or 04-06, the day at most 28"


def _month_day(text: str) -> tuple[int, int]:
    match = re.fullmatch(r"([0-9]{2})-([0-9]{2})", text)
    if match:
        month, day_of_month = int(match[1]), int(match[2])
        if 1 <= month <= 12 and 1 <= day_of_month <= 28:
            return month, day_of_month
    raise Wrong("date-unreadable", f"“{text}” is not a month and a day on which a year can start", _start_mend(text))


def _hours_of_day(text: str) -> Decimal:
    value = hours(text)
    if value > 24:
        raise Wrong("hours-unreadable", f"{text} hours stand here, and a day has 24", "write the hours at the bench on one such day, such as 4")
    return value


DAY_HOURS = scalar("hours such as 4 or 4:30", _hours_of_day, schemas.hours(24))
MONTH_DAY = scalar("a month and a day such as 01-01", _month_day, schemas.MONTH_DAY)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockItem(Record):
    """An item known to stock."""

    SHORT: ClassVar[str] = "unit"
    unit: str | None = key(TEXT, "what it is counted in", "can")
    counted: bool = key(YES_NO, "no for sandpaper and the like: its cost goes to materials when bought", "no", default=True)
    low: Decimal | None = key(NUMBER, "order more when this little is left", "1")
    supplier: str | None = key(TEXT, "who it comes from; private", "Fenwick Finishes")


@dataclass(frozen=True, slots=True, kw_only=True)
class StockSheet(Record):
    """How stock is valued and what is kept."""

    method: StockMethod = key(one_of(StockMethod), "what leaves stock first: the oldest delivery, or at average cost", "first in", default="first in")
    items: tuple[Named, ...] = key(
        named(part(StockItem), "stock items"), "the items known to stock", "{umber lacquer: {unit: can}, sandpaper: {unit: sheet, counted: no}}", default=()
    )


_WEEKDAYS = "monday tuesday wednesday thursday friday saturday sunday mon tue tues wed thu thur thurs fri sat sun mo tu we th fr sa su".split()
_SEVERAL_DAYS = (
    *("weekdays", "weekday", "workdays", "daily", "every_day", "weekend", "weekends"),
    *(f"{first}{between}{last}" for first in _WEEKDAYS for between in ("_", "–", "_to_", "_and_", "/", "+") for last in _WEEKDAYS),
)
"""What people write for several days at once, as keys are compared."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchHours(Record):
    """Hours at the bench on each weekday; none where nothing is written."""

    SAMPLE: ClassVar[tuple[str, ...]] = ("monday", "tuesday")
    IN_FULL: ClassVar[dict[str, str]] = dict.fromkeys(_SEVERAL_DAYS, "write each day by its name: {monday: 4, tuesday: 4}")
    monday: Decimal = key(DAY_HOURS, "hours on Mondays", "4", default=Decimal(0), instead_of="mon")
    tuesday: Decimal = key(DAY_HOURS, "hours on Tuesdays", "4", default=Decimal(0), instead_of="tue")
    wednesday: Decimal = key(DAY_HOURS, "hours on Wednesdays", "4", default=Decimal(0), instead_of="wed")
    thursday: Decimal = key(DAY_HOURS, "hours on Thursdays", "4", default=Decimal(0), instead_of="thu")
    friday: Decimal = key(DAY_HOURS, "hours on Fridays", "4", default=Decimal(0), instead_of="fri")
    saturday: Decimal = key(DAY_HOURS, "hours on Saturdays", "6", default=Decimal(0), instead_of="sat")
    sunday: Decimal = key(DAY_HOURS, "hours on Sundays", "0", default=Decimal(0), instead_of="sun")


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedDays(Record):
    """Days without bench work; cures go on. No episode is proposed that would be recorded and air within one such time."""

    SHORT: ClassVar[str] = "from"
    first: Day = key(DAY, "the day, or the first of several", "2026-12-25", required=True, word="from")
    last: Day | None = key(DAY, "the last of several", "2026-12-31", word="until")
    why: str | None = key(TEXT, "the reason", "holidays")


@dataclass(frozen=True, slots=True, kw_only=True)
class CureSheet(Record):
    """An entry of the cure table."""

    SHORT: ClassVar[str] = "cure"
    cure: Wait = key(WAIT, "how long until it can be worked on; the product's data sheet is the authority", "14 days", required=True)
    recoat: str | None = key(TEXT, "the window for the next coat: within 2 h or after 24 h", "within 2 h or after 24 h")
    at_temperature: str | None = key(TEXT, "the temperature the figure holds for", "20 C")
    not_over: tuple[str, ...] = key(many(TEXT), "entries of the cure table it must not go straight over, by its product's data sheet", "[hard oil]", default=())
    sheet: str | None = key(TEXT, "where the product's data sheet is kept; its figure is never adjusted for the room", "binder, tab 3")
    bends: bool = key(YES_NO, "no: this cure is not adjusted for the room; see room", "no", default=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomSheet(Record):
    """How warm and how damp the room is in which things cure and wood rests."""

    SHORT: ClassVar[str] = "celsius"
    celsius: Decimal = key(CELSIUS, "the usual temperature there, in degrees Celsius", "17", required=True)
    humidity: Decimal | None = key(LARGE_PERCENT, "relative humidity; with it the sheets work out the moisture that wood settles at", "45 %")
    since: Day | None = key(DAY, "the first day on which this holds", "2026-11-01", word="from")


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplier(Record):
    """Someone parts come from; private."""

    SHORT: ClassVar[str] = "lead"
    lead: Wait | None = key(WAIT, "how long their parts take to come", "10 days")
    late: Decimal | None = key(LARGE_PERCENT, "how often they are late", "20 %")


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel(Record):
    """A place to sell, and what it takes."""

    percent: Decimal = key(PERCENT, "what percentage it takes", "5", default=Decimal(0))
    fixed: Decimal = key(AMOUNT, "what it takes on top, per sale", "0.30", default=Decimal(0))
    on: TakenOn = key(
        one_of(TakenOn),
        "what the percentage is taken on: the price after discount; with shipping charged; with tax too",
        "price",
        default="price",
    )
    cap: Decimal | None = key(AMOUNT, "the most that the percentage can come to", "50")
    second_percent: Decimal = key(PERCENT, "a second percentage, without a cap, such as for card payments", "2.9", default=Decimal(0))
    remits_tax: bool = key(YES_NO, "it hands sales tax in itself", "yes", default=False)
    holds: Wait | None = key(WAIT, "how long it holds the money", "4 days")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShippingSheet(Record):
    """How the shop's carrier charges for a parcel."""

    divisor: Decimal | None = key(NUMBER, "the carrier's divisor for dimensional weight; without it only the scale counts", "5000")
    per: Divisor = key(one_of(Divisor), "what the divisor is in", "cm3/kg", default="cm3/kg")
    fixed: Decimal = key(AMOUNT, "what every parcel costs", "9.50", default=Decimal(0))
    rate: Decimal | None = key(AMOUNT, "what each kilogram, or with in3/lb each pound, costs on top", "3.20")


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSettings(Record):
    """How the worked-out sheets are made."""

    paper: Paper = key(one_of(Paper), "the paper that fret templates are printed on", "letter", default="A4")
    load_share: Decimal = key(PERCENT, "how far the strings' load may move before purfle warns; common practice", "10 %", default=Decimal(10))


@dataclass(frozen=True, slots=True, kw_only=True)
class MileageRate(Record):
    """What a mile counts for from a day on."""

    since: Day = key(DAY, "the first day of the rate", "2026-01-01", required=True, word="from")
    rate: Decimal = key(NUMBER, "amount for each unit of distance", "0.725", required=True)
    unit: DistanceUnit = key(one_of(DistanceUnit), "mi or km; mi when left out", "mi", default="mi")


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing(Record):
    """A recurring cost."""

    what: str = key(TEXT, "what for", "workshop rent", required=True)
    cost: Decimal = key(AMOUNT, "how much each time", "210", required=True)
    kind: str = key(TEXT, "an expense kind", "rent", required=True)
    every: Every = key(one_of(Every), "how often", "month", default="month")
    since: Day = key(DAY, "the first time", "2026-01-01", required=True, word="from")
    until: Day | None = key(DAY, "the last day it can fall on", "2026-12-31")


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpenseKind(Record):
    """A kind of expense and where it goes on the owner's own tax form."""

    SHORT: ClassVar[str] = "line"
    line: str | None = key(TEXT, "the line of the tax form", "20b")
    says: str | None = key(TEXT, "what belongs there", "rent of rooms")


@dataclass(frozen=True, slots=True, kw_only=True)
class FormLines(Record):
    """Where the year's own figures go on the owner's tax form; what is not written is as the shipped table has it."""

    sales: str | None = key(TEXT, "sales", "1")
    returns: str | None = key(TEXT, "returns", "2")
    opening_inventory: str | None = key(TEXT, "inventory at the start of the year", "35")
    purchases: str | None = key(TEXT, "purchases less what was withdrawn", "36")
    materials: str | None = key(TEXT, "materials and supplies", "38")
    outside_work: str | None = key(TEXT, "outside work", "39")
    other_costs: str | None = key(TEXT, "other costs", "39")
    closing_inventory: str | None = key(TEXT, "inventory at the end of the year", "41")
    cost_of_goods_sold: str | None = key(TEXT, "cost of goods sold", "42")
    gross_profit: str | None = key(TEXT, "gross profit", "5")
    show_income: str | None = key(TEXT, "income of the show", "6")
    other_income: str | None = key(TEXT, "other income", "6")
    net_profit: str | None = key(TEXT, "net profit", "31")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lateness(Record):
    """How much a day late weighs in the plan."""

    due: Decimal = key(NUMBER, "a day past a due date", "3", default=Decimal(3))
    promise: Decimal = key(NUMBER, "a day past a promise on air", "2", default=Decimal(2))


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowSettings(Record):
    """The weekly show."""

    weekday: Weekday = key(one_of(Weekday), "the day episodes air", "friday", default="friday")
    minutes: Decimal = key(MINUTES, "an episode's length", "14", default=Decimal(12))
    frame_rate: Decimal = key(NUMBER, "frames a second", "30", default=Decimal(30))
    lead: Wait = key(WAIT, "how long before airing it is recorded", "3 days", default=Wait(3))
    hours: Decimal = key(HOURS, "hours of recording and editing each week, out of the bench hours", "6", default=Decimal(0))
    likelihood: Decimal = key(LARGE_PERCENT, "how sure a stage must be to count as ready", "80 %", default=Decimal(80))
    weeks_in_a_row: int = key(COUNT, "how many weeks in a row a build may be on without moving on, where there is something else to show", "2", default=2)
    reveal_every: int = key(COUNT, "a reveal at least every so many weeks, if one can be ready", "4", default=4)
    bulletins: int = key(COUNT, "bulletins a week", "2", default=2)
    limits: tuple[Named, ...] = key(
        named(COUNT, "places bulletins go out"), "the longest text each place takes, in characters", "{photo feed: 500}", default=()
    )


def _signed(text: str) -> Decimal:
    """An amount that may be below nothing, as a year's profit may."""
    bare = text.strip().replace("\u2212", "-")
    return -amount(bare[1:]) if bare.startswith("-") else amount(bare)


SIGNED = scalar("an amount such as 4120.50 or -360", _signed, schemas.SIGNED)


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedIn(Record):
    """What a year came to when it was handed in."""

    year: int = key(YEAR, "the business year, by the calendar year it began in", "2025", required=True)
    net_profit: Decimal | None = key(SIGNED, "its net profit", "4120.50")
    closing_inventory: Decimal | None = key(AMOUNT, "its closing inventory", "2310")
    sales: Decimal | None = key(AMOUNT, "its sales, before returns", "9840")
    returns: Decimal | None = key(AMOUNT, "what was refunded of sales in it", "120")
    cost_of_goods_sold: Decimal | None = key(SIGNED, "its cost of goods sold", "3840.20")
    show_income: Decimal | None = key(SIGNED, "what the show earned in it", "300")
    other_income: Decimal | None = key(SIGNED, "its other income", "50")
    expenses: tuple[Named, ...] = key(
        named(SIGNED, "expense kinds"), "its expenses by kind; a kind that is not named came to nothing", "{rent: 1200, tools: 559.30}", default=()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopSheet(Record):
    """The shop's settings; only the name is required."""

    name: str = key(TEXT, "the shop's name, public", "Sallow Lane Instruments", default="", required=True, instead_of="title")
    place: str | None = key(TEXT, "the region, public; no street", "the upper valley")
    contact: str | None = key(LINK, "where buyers may write, public", "mailto:bench@example.org")
    currency: str = key(CURRENCY, "the currency of every amount", "USD", default="USD")
    locale: str = key(TEXT, "how amounts and dates are written on pages", "en_US", default="en_US")
    language: str | None = key(LANGUAGE, "the language of your own words, if they are not in English: browsers break, spell and read them by it", "de")
    year_starts: tuple[int, int] = key(MONTH_DAY, "the first day of the business year", "01-01", default=(1, 1))
    site: str | None = key(LINK, "the showroom's address once it is on the web", "https://example.org/shop/")
    stock: StockSheet = key(part(StockSheet), "how stock is valued and what is kept", "{method: first in}", default=StockSheet())
    bench_hours: BenchHours = key(part(BenchHours), "hours at the bench on each weekday", "{tuesday: 4, saturday: 6}", default=BenchHours())
    closed_days: tuple[ClosedDays, ...] = key(
        many(part(ClosedDays)), "days without bench work", "[2026-12-25, {from: 2026-07-01, until: 2026-07-14}]", default=()
    )
    routes: tuple[Named, ...] = key(
        named(many(part(StageSheet)), "routes"),
        "the ordered stages of each kind of job",
        "{quick: [{stage: strip, hours: 2}, {stage: clear, hours: 1, cure: 14 days}]}",
        default=(),
    )
    cures: tuple[Named, ...] = key(named(part(CureSheet), "finishes"), "the cure table", "{shellac: 2 days}", default=())
    room: tuple[RoomSheet, ...] = key(
        many(part(RoomSheet)),
        "how warm it is where things cure: adjusts cures by a rule of thumb, twice as fast for each 10 °C, where the cure table gives at_temperature and no sheet; without it no cure is adjusted",
        "[{celsius: 17, from: 2026-11-01}, {celsius: 23, from: 2027-05-01}]",
        default=(),
    )
    suppliers: tuple[Named, ...] = key(named(part(Supplier), "suppliers"), "lead times; private", "{Tarnwater Pickups: 10 days}", default=())
    channels: tuple[Named, ...] = key(
        named(part(Channel), "channels"), "places to sell, and what they take", "{market place: {percent: 5, fixed: 0.30}}", default=()
    )
    shipping: ShippingSheet = key(
        part(ShippingSheet), "how the carrier charges for a parcel", "{divisor: 5000, fixed: 9.50, rate: 3.20}", default=ShippingSheet()
    )
    sheets: SheetSettings = key(part(SheetSettings), "how the worked-out sheets are made", "{paper: letter}", default=SheetSettings())
    labour_rate: Decimal | None = key(AMOUNT, "what an hour counts for in a quote; never in the books", "28")
    mileage: tuple[MileageRate, ...] = key(many(part(MileageRate)), "what a mile counts for, by date", "[{from: 2026-01-01, rate: 0.725}]", default=())
    standing: tuple[Standing, ...] = key(
        many(part(Standing)), "recurring costs", "[{what: rent, cost: 210, kind: rent, every: month, from: 2026-01-01}]", default=()
    )
    expense_kinds: tuple[Named, ...] = key(
        named(part(ExpenseKind), "expense kinds"), "kinds of expense, each with the line of your own tax form", "{rent: 20b, tools: 22}", default=()
    )
    form_lines: FormLines = key(part(FormLines), "lines of your own tax form for the year's figures", "{sales: 1, net_profit: 31}", default=FormLines())
    tax_form: TaxForm | None = key(one_of(TaxForm), "a shipped table of tax form lines", "us-schedule-c")
    target_margin: Decimal = key(LARGE_PERCENT, "the margin a quote aims at", "35 %", default=Decimal(35))
    show: ShowSettings = key(
        part(ShowSettings),
        "the weekly show; leave it out where none is made, and nothing is proposed",
        "{weekday: friday, minutes: 14}",
        default=ShowSettings(),
    )
    lateness: Lateness = key(part(Lateness), "how much a day late weighs", "{due: 3, promise: 2}", default=Lateness())
    closed: tuple[int, ...] = key(many(YEAR), "years handed in: a later change in one is a trouble", "2025", default=())
    handed_in: tuple[HandedIn, ...] = key(
        many(part(HandedIn)),
        "the figures a closed year was handed in with, so that any later change shows",
        "{year: 2025, net_profit: 4120.50, closing_inventory: 2310}",
        default=(),
    )

    def closed_on(self, day: Day) -> bool:
        """Whether a day is one of the closed days."""
        return any(times.first <= day <= (times.last or times.first) for times in self.closed_days)

    def first_of_year(self, year: int) -> Day:
        """The first day of a business year, which is named after the calendar year it begins in."""
        return Day(year, *self.year_starts)

    def year_with(self, day: Day) -> int:
        """The business year a day belongs to."""
        return day.year if (day.month, day.day) >= self.year_starts else day.year - 1
