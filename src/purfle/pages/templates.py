"""One site's templates, rendered in a sandbox; a fault in one is told at its line.

Invariant: no loader of files; what a template may see is what it is handed, and a fault in one is a trouble.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, is_dataclass
from functools import cached_property, lru_cache
from itertools import islice
from operator import is_
from types import TracebackType
from typing import Any, NoReturn

from jinja2 import BaseLoader, Environment, StrictUndefined, TemplateNotFound, TemplateSyntaxError
from jinja2.exceptions import TemplateError, TemplateRuntimeError

from purfle.base.memo import Memo, digest, keeping, told, very
from purfle.base.place import Place
from purfle.base.trouble import Trouble
from purfle.pages.sandbox import Sandbox
from purfle.pages.site_files import is_template, shown_path

_FAULTS = (TemplateError, TypeError, ValueError, ArithmeticError, LookupError, AttributeError, RecursionError, MemoryError, SyntaxError, NameError)
"""What a template may raise; the last two of the Python that jinja2 makes of one: an argument that is named twice, a number without an end."""
_MOST_OF_A_PAGE = 100_000_000
"""Characters of one page: no browser opens so many, and they still have room beside a compile."""


class TemplateFault(Exception):
    """A template can't be used; carries the trouble to show the owner."""

    def __init__(self, trouble: Trouble) -> None:
        super().__init__(trouble.found)
        self.trouble = trouble


@dataclass(frozen=True)
class Templates:
    """One site's templates, ready to render."""

    site: str
    files: Mapping[str, bytes]
    filters: Mapping[str, Callable[..., Any]]
    """Functions that templates may use after a bar, such as `{{ day | long_date }}`."""

    def page(self, name: str, at: str = "", **values: Any) -> bytes:
        """One page as UTF-8; `at` tells it from others of this template that have the same words. Raises `TemplateFault` when the template is missing or wrong."""
        if not keeping():
            return self._page(name, values)
        words = tuple(item for item in values.items() if type(item[1]) is str)
        page, others = (self._environment, name, at, words), tuple(value for value in values.values() if type(value) is not str)

        def unless_told() -> bytes:
            return _TOLD.get(page, _digest_of(others) or object(), lambda: self._page(name, values))

        return _VERY[self.site, name].get(page, others, unless_told, very)

    def _page(self, name: str, values: Mapping[str, Any]) -> bytes:
        self._environment.counted = 0
        try:
            return b"".join(_encoded(self._environment.get_template(name).generate(**values)))
        except TemplateNotFound as missing:
            raise TemplateFault(_missing(self.site, missing)) from None
        except _FAULTS as fault:
            _blame(self.site, name, fault)

    def assets(self) -> dict[str, bytes]:
        """The files that are copied as they are, by name."""
        return {name: data for name, data in self.files.items() if not is_template(name)}

    @cached_property
    def _environment(self) -> Sandbox:
        texts = tuple((name, data) for name, data in sorted(self.files.items()) if is_template(name))
        return _environment(self.site, texts, tuple(sorted(self.filters.items())))


def _encoded(pieces: Iterator[str]) -> Iterator[bytes]:
    """The pieces of a page as UTF-8, many at once: a ledger has a million of them, which need not all stand in memory beside it."""
    left = _MOST_OF_A_PAGE
    while some := list(islice(pieces, 10_000)):
        left -= sum(map(len, some))
        if left < 0:
            raise TemplateRuntimeError(f"its page comes to more than {_MOST_OF_A_PAGE:,} characters")
        yield "".join(some).encode()


_VERY: defaultdict[tuple[str, str], Memo] = defaultdict(Memo)
"""Pages by their words and by the very values that they were handed, which is soon seen; those of each template apart, for a site that is held asks for none
or few of its own, and when that is mended most are as they were."""
_TOLD, _DIGESTS = Memo(), Memo()
"""Pages by what those values tell; and what each record among them tells."""


def _digest_of(value: object) -> str | None:
    """As `told`, with the digest of each record in place of what it writes, which is kept for as long as it is the very same."""
    if type(value) is tuple:
        parts = [_digest_of(part) for part in value]
        return None if None in parts else digest(",".join(map(str, parts)))
    return _DIGESTS.get(id(value), value, lambda: told(value), is_) if is_dataclass(value) else told(value)


@lru_cache(maxsize=8)
def _environment(site: str, texts: tuple[tuple[str, bytes], ...], filters: tuple[tuple[str, Callable[..., Any]], ...]) -> Sandbox:
    """A sandbox over these texts; kept because compiling templates costs more than rendering them."""
    environment = Sandbox(
        loader=_Held(site, dict(texts)),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,
        cache_size=-1,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(filters)
    return environment


class _Held(BaseLoader):
    """Hands out texts that are already in memory, each with the name a trouble should give."""

    def __init__(self, site: str, texts: Mapping[str, bytes]) -> None:
        self.site, self.texts = site, texts

    def get_source(self, environment: Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
        if template not in self.texts:
            raise TemplateNotFound(template)
        try:
            text = self.texts[template].decode("utf-8")
        except UnicodeDecodeError:
            raise TemplateSyntaxError("the file is not written in UTF-8", 1, template, shown_path(self.site, template)) from None
        return text, shown_path(self.site, template), lambda: True


def _missing(site: str, missing: TemplateNotFound) -> Trouble:
    """The trouble of a template that is not there, at the line that asks for it; at its own name when a page does."""
    name = str(missing.name)
    return Trouble(
        _last_template_line(missing.__traceback__, site) or Place(shown_path(site, name), 0),
        f"{site}-template-fault",
        f"a template asks for {name}, which is not there",
        "write that file, or take your own templates away so that the packaged ones are used",
    )


def _blame(site: str, asked: str, fault: BaseException) -> NoReturn:
    """Raise the trouble of a fault, at the deepest template line that it passed through."""
    if isinstance(fault, TemplateSyntaxError):
        at = Place(fault.filename or shown_path(site, fault.name or asked), fault.lineno)
    else:
        at = _last_template_line(fault.__traceback__, site) or Place(shown_path(site, asked), 0)
    says = getattr(fault, "message", None) or getattr(fault, "msg", None) or str(fault) or type(fault).__name__
    mend = "mend that line, or take the file away so that the packaged template is used"
    raise TemplateFault(Trouble(at, f"{site}-template-fault", f"the template can't be used: {says}", mend)) from fault


def _last_template_line(trace: TracebackType | None, site: str) -> Place | None:
    found = None
    while trace is not None:
        file = trace.tb_frame.f_code.co_filename
        if file.startswith(shown_path(site, "")):
            found = Place(file, trace.tb_lineno)
        trace = trace.tb_next
    return found
