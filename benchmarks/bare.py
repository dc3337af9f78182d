"""What the bare libraries take for the reads, YAML, Markdown and template renders of one cold compile: prints seconds as JSON.

    python benchmarks/bare.py SHOP

What is rendered, with what values, is taken from a compile that is not timed; then, once each and in one process: every note is read and
loaded by python-frontmatter (PyYAML's C safe loader), every text that the showroom shows is converted by markdown-it, and every page is rendered
by jinja2 from the same templates, compiled once, with the same values and filters, none of whose answers are kept from the first time (segno draws
each code anew). Nothing is written. Garbage is not collected, as in a one-shot command.
"""

import gc
import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from big_shop import TODAY


def main() -> None:
    """Collect what is to be done, then do it on the clock."""
    shop = Path(sys.argv[1])
    pages, texts = _collected(shop)
    _forget(pages)
    gc.collect()
    gc.disable()
    steps: dict[str, Callable[[], None]] = {"yaml": lambda: _yaml(shop), "markdown": lambda: _markdown(texts), "templates": lambda: _templates(pages)}
    took = {}
    for name, step in steps.items():
        began = time.process_time()
        step()
        took[name] = time.process_time() - began
    print(json.dumps(took))


def _collected(shop: Path) -> tuple[list[tuple[Any, str, dict[str, Any]]], list[str]]:
    """Every page's templates, name and values, and every Markdown text, of one compile."""
    from purfle.pages.site_files import packaged
    from purfle.pages.templates import Templates
    from purfle.shell.folder import read_folder
    from purfle.shell.make import analyse
    from purfle.sites import Kit, render
    from purfle.views.markdown_rules import parser
    from purfle.views.office_troubles import Held

    pages: list[tuple[Any, str, dict[str, Any]]] = []
    texts: list[str] = []
    page, parse = Templates.page, parser().parse

    def seen_page(self: Any, name: str, at: str = "", **values: Any) -> bytes:
        pages.append((self, name, values))
        return page(self, name, at, **values)

    def seen_text(text: str, env: Any = None) -> Any:
        texts.append(text)
        return parse(text, env)

    Templates.page = seen_page  # type: ignore[method-assign]
    parser().parse = seen_text  # type: ignore[method-assign, assignment]
    folder = read_folder(shop)
    made = render(analyse(folder, TODAY), Kit({}, {}, packaged("showroom"), packaged("office"), Held()))
    assert made.showroom is not None and made.office is not None, "a trouble holds the generated shop"
    return pages, texts


def _forget(pages: list[tuple[Any, str, dict[str, Any]]]) -> None:
    """Empty what filters keep, so that they work as in a first compile."""
    for function in {function for templates, _, _ in pages for function in templates.filters.values()}:
        if hasattr(function, "cache_clear"):
            function.cache_clear()


def _yaml(shop: Path) -> None:
    import frontmatter

    for path in sorted(shop.rglob("*.md")):
        frontmatter.load(str(path))


def _markdown(texts: list[str]) -> None:
    from markdown_it import MarkdownIt
    from mdit_py_plugins.footnote import footnote_plugin
    from mdit_py_plugins.tasklists import tasklists_plugin

    parser = MarkdownIt("commonmark", {"html": False}).enable(["table", "strikethrough"]).use(footnote_plugin).use(tasklists_plugin)
    for text in texts:
        parser.render(text)


def _templates(pages: list[tuple[Any, str, dict[str, Any]]]) -> None:
    import jinja2

    environments: dict[str, jinja2.Environment] = {}
    for templates, name, values in pages:
        if templates.site not in environments:
            texts = {each: data.decode() for each, data in templates.files.items() if each.endswith((".html", ".xml", ".txt"))}
            environments[templates.site] = jinja2.Environment(
                loader=jinja2.DictLoader(texts), autoescape=True, trim_blocks=True, lstrip_blocks=True, auto_reload=False, cache_size=-1
            )
            environments[templates.site].filters.update(templates.filters)
        environments[templates.site].get_template(name).render(**values).encode()


if __name__ == "__main__":
    main()
