"""Shows a site from `out/` on this machine alone, and tells open pages when it has changed.

Each site has a port of its own, so the showroom's pages and the office's are of different origins. A request must name
this machine and this port as its host, may not come from another origin, and gets no file outside its site: no
link is followed, no hidden name served. The script that reloads a page exists in served bytes only.
Invariant: writes nothing; listens on the loopback address only.
"""

import json
import mimetypes
import os
import re
import stat
import sys
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from socketserver import TCPServer
from typing import Any
from urllib.parse import unquote, urlsplit

from purfle.base.endings import SOUNDS
from purfle.shell.ranges import part_of

ADDRESS = "127.0.0.1"
_OWN = "/.purfle/"
_POLICY = re.compile(rb'(<meta http-equiv="Content-Security-Policy" content=")([^"]*)(")', re.IGNORECASE)
_HEADERS = {
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Frame-Options": "DENY",
}
_TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".xml": "application/xml; charset=utf-8",
    ".svg": "image/svg+xml",
    ".webp": "image/webp",
    ".jpg": "image/jpeg",
    ".png": "image/png",
    ".woff2": "font/woff2",
    ".ics": "text/calendar; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
    ".json": "application/json",
    **{f".{ending}": kind for ending, kind in SOUNDS.items()},
}

# Long-polls, so that a page in view costs one waiting request. One that is not in view asks nothing: a browser has six connections for all its
# pages of a site, and so many open tabs would leave none for the next page. Builds its panel from text, never from markup.
RELOAD_JS = b"""\
(() => {
  const pages = Number(document.currentScript.dataset.pages);
  const panel = document.createElement("div");
  panel.setAttribute("role", "status");
  Object.assign(panel.style, {position: "fixed", insetInline: "0", bottom: "0", maxHeight: "45vh", overflow: "auto", background: "#1d1b19",
    color: "#f4efe6", font: "14px/1.5 ui-monospace, monospace", padding: "0.6em 1em", whiteSpace: "pre-wrap", zIndex: "2147483647", borderTop: "3px solid #c8502d"});
  const show = state => {
    panel.remove();
    if (!state.troubles.length) return;
    panel.textContent = state.troubles.map(t => `${t.where}  ${t.code}\\n  found: ${t.found}\\n  mend:  ${t.mend}`).join("\\n\\n");
    document.body.append(panel);
  };
  let asking;
  const ask = async since => {
    asking?.abort();
    if (document.hidden) return;
    const mine = asking = new AbortController();
    try {
      const state = await (await fetch("/.purfle/state?since=" + since, {signal: mine.signal})).json();
      if (state.pages !== pages) { location.reload(); return; }
      show(state);
      ask(state.turn);
    } catch { if (mine === asking) setTimeout(() => { if (mine === asking) ask(-1); }, 1000); }
  };
  document.addEventListener("visibilitychange", () => ask(-1));
  ask(-1);
})();
"""


@dataclass(slots=True)
class State:
    """What open pages are told: a counter of turns, a counter of changes to the pages, and the troubles."""

    turn: int = 0
    pages: int = field(default_factory=lambda: int(time.time()))
    """Counted on from the moment of the start: a page that was opened in an earlier sitting is not taken for one of this."""
    troubles: tuple[Mapping[str, str], ...] = ()
    closing: bool = False
    changed: threading.Condition = field(default_factory=threading.Condition)

    def tell(self, troubles: tuple[Mapping[str, str], ...], pages_changed: bool) -> None:
        """Begin a new turn."""
        with self.changed:
            self.turn += 1
            self.pages += pages_changed
            self.troubles = troubles
            self.changed.notify_all()

    def close(self) -> None:
        """Let every waiting request go."""
        with self.changed:
            self.closing = True
            self.changed.notify_all()

    def after(self, turn: int, patience: float) -> dict[str, Any]:
        """The state once it is later than `turn`, or as it is after so many seconds."""
        with self.changed:
            self.changed.wait_for(lambda: self.closing or self.turn > turn, timeout=patience)
            return {"turn": self.turn, "pages": self.pages, "troubles": list(self.troubles)}


class Preview:
    """One site on one port of the loopback address."""

    def __init__(self, site: Path, port: int, state: State) -> None:
        """Port 0 takes a free one. Raises OSError when the port is taken."""
        handler = type("Handler", (_Handler,), {"site": site, "state": state})
        self._server = _Server((ADDRESS, port), handler)
        self._thread = threading.Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True)

    @property
    def url(self) -> str:
        """The address of the site's first page."""
        return f"http://{ADDRESS}:{self._server.server_address[1]}/"

    def start(self) -> None:
        """Serve until `stop`."""
        self._thread.start()

    def stop(self) -> None:
        """Stop serving, if it was begun, and free the port."""
        if self._thread.ident is not None:  # else nobody would ever hear that it is to be shut down
            self._server.shutdown()
        self._server.server_close()


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    block_on_close = False
    # Another program may not take over the port while it is ours.
    allow_reuse_address = os.name == "posix"

    def server_bind(self) -> None:
        """Bind, without asking for this machine's name as the library does: that may ask a name server."""
        TCPServer.server_bind(self)
        self.server_name, self.server_port = ADDRESS, self.server_address[1]

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A page closed in the middle of an answer is no news; a fault of ours is."""
        if not isinstance(sys.exception(), OSError):
            super().handle_error(request, client_address)


class _Handler(BaseHTTPRequestHandler):
    site: Path
    state: State
    protocol_version = "HTTP/1.1"
    server_version, sys_version = "purfle", ""
    timeout = 60

    def do_GET(self) -> None:
        """Answer with a file of the site, or with one of our own two."""
        # What came with the request is not read: taken for the next one it would be an answer that nobody asked for.
        bodies = (value for name in ("Content-Length", "Transfer-Encoding") for value in self.headers.get_all(name, ()))
        self.close_connection |= any(value != "0" for value in bodies)
        if not self._welcome():
            self.close_connection = True
            return self._send(HTTPStatus.FORBIDDEN, b"This preview answers only its own pages on this machine.\n", _TYPES[".txt"])
        try:
            parts = urlsplit(self.path)
        except ValueError:  # a whole address, as for a proxy, that is none
            return self._send(HTTPStatus.BAD_REQUEST, b"This is no address.\n", _TYPES[".txt"])
        path = unquote(parts.path, errors="replace")
        if path == f"{_OWN}reload.js":
            return self._send(HTTPStatus.OK, RELOAD_JS, _TYPES[".js"])
        if path == f"{_OWN}state":
            return self._send(HTTPStatus.OK, json.dumps(self.state.after(_since(parts.query), 25)).encode(), _TYPES[".json"])
        self._page(path)

    def do_HEAD(self) -> None:
        """Answer as GET would; `_send` leaves the body out."""
        self.do_GET()

    def _welcome(self) -> bool:
        """Whether the request is for this machine and port and from a page of ours or from the address bar."""
        port = self.connection.getsockname()[1]
        ours = {f"{name}:{port}" for name in (ADDRESS, "localhost")}
        hosts = self.headers.get_all("Host") or []
        if len(hosts) != 1 or hosts[0].casefold() not in ours:
            return False
        origin = self.headers.get("Origin")
        if origin is not None and origin.casefold() not in {f"http://{host}" for host in ours}:
            return False
        # Browsers say where a request comes from; following a link here from elsewhere is fine, embedding is not.
        came_from, mode = self.headers.get("Sec-Fetch-Site", "none"), self.headers.get("Sec-Fetch-Mode", "navigate")
        dest = self.headers.get("Sec-Fetch-Dest", "document")
        return came_from in ("same-origin", "none") or (mode == "navigate" and dest == "document")

    def _page(self, path: str) -> None:
        pages = self.state.pages  # as they were before the page is read: one that changes meanwhile is loaded again
        data, kind = find(self.site, path)
        if kind == "folder":
            self.send_response(HTTPStatus.MOVED_PERMANENTLY)
            self.send_header("Location", f"/{urlsplit(self.path).path.strip('/')}/")
            self.send_header("Content-Length", "0")
            self.end_headers()
            return
        status = HTTPStatus.OK
        if data is None:
            status, kind = HTTPStatus.NOT_FOUND, _TYPES[".html"]
            data = find(self.site, "/404.html")[0] or b"<!doctype html><title>Not here</title><p>There is no such page.</p>"
        self._send(status, with_reload(data, pages) if kind == _TYPES[".html"] else data, kind)

    def _send(self, status: HTTPStatus, data: bytes, kind: str) -> None:
        more = {"Accept-Ranges": "bytes"}
        if status is HTTPStatus.OK and (part := self._part(len(data))) is not None:
            status = HTTPStatus.PARTIAL_CONTENT if part else HTTPStatus.REQUESTED_RANGE_NOT_SATISFIABLE
            more["Content-Range"] = f"bytes {f'{part.start}-{part.stop - 1}' if part else '*'}/{len(data)}"
            data = data[part.start : part.stop]
        self.send_response(status)
        for name, value in (_HEADERS | more).items():
            self.send_header(name, value)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(data)

    def _part(self, size: int) -> range | None:
        """What is asked for of so many bytes. A browser that asks whether it still has the right whole (If-Range) gets that: no answer here has a mark to tell by."""
        asked = self.headers.get_all("Range", [])
        return part_of(asked[0], size) if len(asked) == 1 and self.command == "GET" and "If-Range" not in self.headers else None

    def log_message(self, format: str, *args: Any) -> None:
        """Requests are no news; troubles have the terminal to themselves."""


def _since(query: str) -> int:
    text = query.removeprefix("since=")
    return int(text) if text.isdecimal() and len(text) < 12 else -1


def with_reload(page: bytes, pages: int) -> bytes:
    """An HTML page with the reloading script before the end of its body, and a policy that lets it run; only ever served.

    `pages` tells the script which change of the pages this is, so that one that was swapped in since is seen by it.
    """
    tag = f'<script src="{_OWN}reload.js" data-pages="{pages}"></script>'.encode()
    head, end, tail = _POLICY.sub(_admitting, page, count=1).rpartition(b"</body>")
    return head + tag + end + tail if end else tail + tag


def _admitting(policy: re.Match[bytes]) -> bytes:
    """The page's own content-security policy with this site's scripts and answers let in (CSP Level 3, directives)."""
    directives = {name: rest for part in policy[2].split(b";") if (words := part.split()) for name, *rest in [words]}
    for name in (b"script-src", b"connect-src"):
        said = directives.get(name, [])
        directives[name] = said if b"'self'" in said else [source for source in said if source != b"'none'"] + [b"'self'"]
    return policy[1] + b"; ".join(b" ".join((name, *rest)) for name, rest in directives.items()) + policy[3]


_FOREIGN = re.compile(r"[\\:\0]")
"""Signs that no page's name has; on Windows they lead to other folders, drives and streams."""


def find(site: Path, path: str) -> tuple[bytes | None, str]:
    """The bytes and media type that a decoded address names in a site; (None, "folder") for a folder without its slash.

    (None, "") when there is nothing, or the way leads over a link, a hidden name, or out of the site.
    """
    steps = path.split("/")[1:]
    if site.is_symlink() or site.parent.is_symlink() or not path.startswith("/") or _FOREIGN.search(path) or any(step.startswith(".") for step in steps):
        return None, ""
    if steps and steps[-1] == "":
        steps[-1] = "index.html"
    here, mode = site, 0
    for step in steps:
        here = here / step
        try:
            mode = os.lstat(here).st_mode
        except OSError:
            return None, ""
        if step == "" or not (stat.S_ISDIR(mode) or stat.S_ISREG(mode)):
            return None, ""
    if stat.S_ISDIR(mode):
        return None, "folder"
    try:
        return here.read_bytes(), _TYPES.get(here.suffix.casefold()) or mimetypes.guess_type(here.name)[0] or "application/octet-stream"
    except OSError:
        return None, ""
