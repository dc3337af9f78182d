"""Templates: the packaged ones, the owner's in their place, rendered in a sandbox.

A site's templates are one mapping from name (relative to `site_templates/<site>/`) to bytes. Names that end in
`.html`, `.xml` or `.txt` and stand in no folder are templates; all others (style sheets, scripts, fonts) are assets
and are copied as they are. A name that begins with `_` is a piece other templates use, and makes no page.
Invariant: no loader of files; what a template may see is what it is handed, and a fault in one is a trouble.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from importlib import resources
from importlib.resources.abc import Traversable
from itertools import islice
from pathlib import Path
from types import TracebackType
from typing import Any, NoReturn

from jinja2 import BaseLoader, Environment, StrictUndefined, TemplateNotFound, TemplateSyntaxError
from jinja2.exceptions import TemplateError, TemplateRuntimeError

from purfle.base.memo import Digests, Memo
from purfle.base.place import Place
from purfle.base.trouble import Trouble, listed, nearest
from purfle.pages.sandbox import Sandbox

_ENDINGS = (".html", ".xml", ".txt")
_FAULTS = (TemplateError, TypeError, ValueError, ArithmeticError, LookupError, AttributeError, RecursionError, MemoryError)
_MOST_OF_A_PAGE = 100_000_000
"""Characters of one page: no browser opens so many, and they still have room beside a compile."""


class TemplateFault(Exception):
    """A template can't be used; carries the trouble to show the owner."""

    def __init__(self, trouble: Trouble) -> None:
        super().__init__(trouble.found)
        self.trouble = trouble


def packaged(site: str) -> dict[str, bytes]:
    """The packaged files of one site, `showroom` or `office`, by name.

    They lie in the wheel beside the code; in a checkout, in `site_templates/` at the repository's root.
    """
    inside = resources.files("purfle").joinpath("site_templates", site)
    root: Traversable = inside if inside.is_dir() else Path(__file__).parents[3].joinpath("site_templates", site)
    return dict(sorted(_files(root, "")))


def _files(folder: Traversable, prefix: str) -> list[tuple[str, bytes]]:
    found = []
    for item in folder.iterdir():
        if item.is_dir():
            found += _files(item, f"{prefix}{item.name}/")
        elif not item.name.startswith("."):
            found.append((prefix + item.name, item.read_bytes()))
    return found


Sites = Mapping[str, Mapping[str, bytes]]
"""Files by site, then by name."""


def layered(sites: Sites, owner: Mapping[str, bytes]) -> dict[str, dict[str, bytes]]:
    """The packaged files of each site with the owner's in place of those of the same name; `owner` goes by path in `site_templates/`."""
    return {site: {**files, **_of_site(site, owner)} for site, files in sites.items()}


def unused(sites: Sites, owner: Mapping[str, bytes]) -> Iterator[Trouble]:
    """Files of the owner's, by path in `site_templates/`, that can only be meant for a packaged file's place and do not take it."""
    layers = layered(sites, owner)
    for path in sorted(owner):
        site, _, name = path.partition("/")
        if site in sites and is_leftover(name):
            yield Trouble(
                Place(f"site_templates/{path}", 0), "template-unused", "it is a copy, a note or what a system left behind, so it is not used", "take it away"
            )
        elif site in sites:
            if name not in sites[site] and not any(name.encode() in text for other, text in layers[site].items() if other != name):
                yield from _unused_name(path, name, nearest(name, sites[site]))
        elif homes := [home for home in sites if path.rpartition("/")[2] in sites[home]]:
            mend = f"move it to {listed([_shown(home, '') for home in homes])}"
            yield Trouble(Place(f"site_templates/{path}", 0), "template-unused", "it lies in the folder of neither site, so it is not used", mend)


def _of_site(site: str, owner: Mapping[str, bytes]) -> dict[str, bytes]:
    return {path.removeprefix(f"{site}/"): data for path, data in owner.items() if path.startswith(f"{site}/") and not is_leftover(path)}


_LEFTOVER = re.compile(
    r"(?:.*(?:~|\.(?:bak|backup|crdownload|md|old|orig|part|rej|save|sw[op]|temp|tmp))|#.*#|thumbs\.db|ehthumbs\.db|desktop\.ini)\Z", re.IGNORECASE
)


def is_leftover(path: str) -> bool:
    """Whether a file is a copy that an editor keeps, a system's own, or a note to oneself: nobody means to publish one."""
    return _LEFTOVER.match(path.rpartition("/")[2]) is not None


def _unused_name(path: str, name: str, near: str | None) -> Iterator[Trouble]:
    if near or is_template(name):
        mend = f"name it {near}" if near else "give it the name of the packaged file it is meant for, or take it away"
        yield Trouble(Place(f"site_templates/{path}", 0), "template-unused", "no packaged file has this name and nothing asks for it, so it is not used", mend)


def is_template(name: str) -> bool:
    """Whether a file of `site_templates/<site>/` is rendered, and not copied as it is."""
    return "/" not in name and name.endswith(_ENDINGS)


_TAG = re.compile(r"<[^<>]*>")


def stop(text: str) -> str:
    """The text with a full stop behind it, but for one that ends with it: amounts and days of some locales do (`20,00 kr.`, `3. jan.`)."""
    return text if _TAG.sub("", str(text)).rstrip().endswith(".") else text + "."


_UNIT = re.compile(r"(?<=\d) (?=(?:in|mm|cm|m|kg|g|lbf?|oz|N|V|W|Hz|[kM]?Ω|[nµ]F|mAh?|°C|%|h|min|days?)(?![\w/]))")


def tight(text: str) -> str:
    """The text with each figure kept on the line of its unit."""
    return _UNIT.sub("\xa0", text)


@dataclass(frozen=True)
class Templates:
    """One site's templates, ready to render."""

    site: str
    files: Mapping[str, bytes]
    filters: Mapping[str, Callable[..., Any]]
    """Functions that templates may use after a bar, such as `{{ day | long_date }}`."""

    def page(self, name: str, **values: Any) -> bytes:
        """One page as UTF-8. Raises `TemplateFault` when the template is missing or wrong."""
        if not Memo.keeping:
            return self._page(self._environment, name, values)
        very = tuple((word, value if type(value) is str else id(value)) for word, value in values.items())
        return _VERY.get((self._environment, name, very), lambda: (self._told_page(name, values), values))[0]

    def _told_page(self, name: str, values: Mapping[str, Any]) -> bytes:
        key = _DIGESTS.of(*sorted(values.items()))
        return _PAGES.get(key and (self._environment, name, key), lambda: self._page(self._environment, name, values))

    def _page(self, environment: Sandbox, name: str, values: Mapping[str, Any]) -> bytes:
        environment.counted = 0
        try:
            return b"".join(_encoded(environment.get_template(name).generate(**values)))
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


_VERY, _PAGES = Memo(), Memo()
"""Pages by their templates and by all that they were handed: by the very values, which are held so that no others can have their numbers, and by what those tell."""
_DIGESTS = Digests()


def turn() -> None:
    """Begin a new compile: pages that it does not ask for are forgotten at the next."""
    _VERY.turn()
    _PAGES.turn()
    _DIGESTS.turn()


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
            raise TemplateSyntaxError("the file is not written in UTF-8", 1, template, _shown(self.site, template)) from None
        return text, _shown(self.site, template), lambda: True


def _shown(site: str, name: str) -> str:
    return f"site_templates/{site}/{name}"


def _missing(site: str, missing: TemplateNotFound) -> Trouble:
    """The trouble of a template that is not there, at the line that asks for it; at its own name when a page does."""
    name = str(missing.name)
    return Trouble(
        _last_template_line(missing.__traceback__, site) or Place(_shown(site, name), 0),
        f"{site}-template-fault",
        f"a template asks for {name}, which is not there",
        "write that file, or take your own templates away so that the packaged ones are used",
    )


def _blame(site: str, asked: str, fault: BaseException) -> NoReturn:
    """Raise the trouble of a fault, at the deepest template line that it passed through."""
    if isinstance(fault, TemplateSyntaxError):
        at = Place(fault.filename or _shown(site, fault.name or asked), fault.lineno)
    else:
        at = _last_template_line(fault.__traceback__, site) or Place(_shown(site, asked), 0)
    says = getattr(fault, "message", None) or str(fault) or type(fault).__name__
    mend = "mend that line, or take the file away so that the packaged template is used"
    raise TemplateFault(Trouble(at, f"{site}-template-fault", f"the template can't be used: {says}", mend)) from fault


def _last_template_line(trace: TracebackType | None, site: str) -> Place | None:
    found = None
    while trace is not None:
        file = trace.tb_frame.f_code.co_filename
        if file.startswith(_shown(site, "")):
            found = Place(file, trace.tb_lineno)
        trace = trace.tb_next
    return found
