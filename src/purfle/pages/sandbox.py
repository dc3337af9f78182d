"""What a template may do: read what it is handed, and make no more of it than a page can hold.

jinja2's sandbox keeps templates from everything else. This one lets what is asked for most pass at once, bounds what
operators, widths and ranges can make, and knows nothing of chance, for the same notes give the same pages.
What grows by joining (`~`, `+`, `join`, `replace`) is bounded only by the page it comes to.
Invariant: a bound is told before the value is made.
"""

import dataclasses
import re
from collections.abc import Callable, Iterable, Sized
from functools import cache, wraps
from typing import Any

from jinja2.environment import TemplateModule
from jinja2.exceptions import TemplateRuntimeError
from jinja2.runtime import Context, LoopContext, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment, safe_range

_MOST_STEPS = 1_000_000
"""Of all ranges of one page: a second or so."""
_MOST_MADE = 10_000_000
"""Characters of a text, entries of a list or bits of a number that one operator or width may make."""
_WITH_A_WIDTH = ("batch", "center", "indent", "round", "slice", "tojson")
"""The filters of jinja2 that make as much as a number says."""
_WIDE = re.compile(r"%[-+ #0.\d]*\d{8}|\{[^{}]*:[^{}]*\d{8}")
"""A width of eight figures in a text to be formatted."""
_WIDTH_HANDED = re.compile(r"%[-+ #0.\d]*\*|\{[^{}]*:[^{}]*\{")
"""A width that is one of the values handed to such a text."""


class Sandbox(ImmutableSandboxedEnvironment):
    """jinja2's sandbox, which lets what is asked for most pass at once: its checks took more than half the time of a page.

    A field is passed by its name alone, and so is a figure that all of its class have alike: declared by a frozen dataclass of `purfle.views` or `purfle.pages`, and without an underscore.
    So are jinja2's own `loop` and imported templates, and calls of macros, which are nothing but templates.
    All else, methods and properties too, is left to the sandbox; so is what is done with the value.
    It bounds each `range`; here all of a page together are, for one inside another could run for days.
    """

    intercepted_binops = frozenset({"*", "**", "%"})
    counted = 0
    """Steps of every `range` of the page that is being made."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        self.globals["range"] = self._range
        del self.globals["lipsum"], self.filters["random"]
        self.filters.update({name: _modest(self.filters[name]) for name in _WITH_A_WIDTH}, format=_formatted(self.filters["format"]))

    def _range(self, *bounds: int) -> range:
        steps = safe_range(*bounds)
        self.counted += len(steps)
        if self.counted > _MOST_STEPS:
            raise TemplateRuntimeError(f"its ranges come to more than {_MOST_STEPS:,} steps in one page")
        return steps

    def getattr(self, obj: Any, attribute: str) -> Any:
        """The attribute, checked as the sandbox does unless it is known to be harmless."""
        kind = type(obj)
        if attribute in _plain_fields(kind):  # type: ignore[arg-type]  # a type is hashable
            return getattr(obj, attribute)
        if kind in (TemplateModule, LoopContext) and not attribute.startswith("_") and hasattr(obj, attribute):
            return getattr(obj, attribute)
        return super().getattr(obj, attribute)

    def call(__self, __context: Context, __obj: Any, *args: Any, **kwargs: Any) -> Any:  # jinja2's names, kept clear of the arguments'
        """The call, checked as the sandbox does unless it is one of a macro; a text's own method may make no more than a page can hold."""
        if type(__obj) is Macro:
            return __context.call(__obj, *args, **kwargs)
        method = getattr(__obj, "__wrapped__", __obj)  # the sandbox wraps `format`
        text = getattr(method, "__self__", None)
        if isinstance(text, str):
            if method.__name__ in ("format", "format_map"):
                _check_format(text, (*args, *kwargs.values()))
            else:
                _check_sizes((*args, *kwargs.values()))
        return super().call(__context, __obj, *args, **kwargs)

    def call_binop(self, context: Context, operator: str, left: Any, right: Any) -> Any:
        """What an operator makes of two values, once that is known to be no more than a page can hold."""
        if operator == "%" and isinstance(left, str):
            _check_format(left, right if isinstance(right, tuple) else (right,))
        elif operator == "**" and isinstance(left, int) and isinstance(right, int):
            _check_sizes([left.bit_length() * right])
        elif operator == "*":
            _check_sizes(len(many) * times for many, times in ((left, right), (right, left)) if isinstance(many, Sized) and isinstance(times, int))
        return super().call_binop(context, operator, left, right)


def _check_sizes(numbers: Iterable[Any]) -> None:
    """Raise for a number that says how much is to be made, and says too much; what is no number says nothing."""
    if any(isinstance(number, int) and number > _MOST_MADE for number in numbers):
        raise TemplateRuntimeError(f"it would make more than {_MOST_MADE:,} characters, entries or figures of one value")


def _check_format(text: str, values: Iterable[Any]) -> None:
    """Raise for a text to be formatted that asks for too great a width, or takes it from a value that says too much."""
    _check_sizes([_MOST_MADE + 1] if _WIDE.search(text) else values if _WIDTH_HANDED.search(text) else ())


def _modest(made: Callable[..., Any]) -> Callable[..., Any]:
    """A filter that refuses to make too much of its value."""

    first = 2 if hasattr(made, "jinja_pass_arg") else 1  # behind the value; jinja2 may hand it something of its own before that

    @wraps(made)
    def checked(*args: Any, **kwargs: Any) -> Any:
        _check_sizes((*args[first:], *kwargs.values()))
        return made(*args, **kwargs)

    return checked


def _formatted(made: Callable[..., Any]) -> Callable[..., Any]:
    """The filter that formats a text, as the operator does."""

    @wraps(made)
    def checked(text: Any, *args: Any, **kwargs: Any) -> Any:
        _check_format(str(text), (*args, *kwargs.values()))
        return made(text, *args, **kwargs)

    return checked


@cache
def _plain_fields(kind: type) -> frozenset[str]:
    if not dataclasses.is_dataclass(kind) or not kind.__module__.startswith(("purfle.views.", "purfle.pages.")):
        return frozenset()
    if not kind.__dataclass_params__.frozen:  # type: ignore[attr-defined]  # set by dataclasses, not in their types
        return frozenset()
    constants = (name for name, value in vars(kind).items() if isinstance(value, int | tuple))
    return frozenset(name for name in (*(field.name for field in dataclasses.fields(kind)), *constants) if not name.startswith("_"))
