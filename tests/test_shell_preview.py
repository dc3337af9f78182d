"""The preview answers its own pages on this machine, and nothing else."""

import http.client
import json
import os
import socket
import threading
from contextlib import contextmanager
from unittest.mock import Mock

import pytest

from purfle.shell.preview import Preview, State, find, with_reload


@pytest.fixture
def site(tmp_path):
    site = tmp_path / "out" / "showroom"
    (site / "builds").mkdir(parents=True)
    files = {
        "index.html": "<body>home</body>",
        "builds/index.html": "<body>builds</body>",
        "404.html": "<body>not here</body>",
        "style.css": "p{}",
        ".hidden": "h",
    }
    for name, text in files.items():
        (site / name).write_text(text)
    (tmp_path / "shop.md").write_text("secret")
    (tmp_path / "out" / "office").mkdir()
    (tmp_path / "out" / "office" / "index.html").write_text("secret")
    return site


class Waited(threading.Condition):
    """Says when somebody waits. It is said while the lock is held, so that nobody can tell of a change before the wait has begun."""

    def __init__(self):
        super().__init__()
        self.begun = threading.Event()

    def wait(self, timeout=None):
        self.begun.set()
        return super().wait(timeout)


@pytest.fixture
def state():
    return State(changed=Waited())


@pytest.fixture
def preview(site, state):
    preview = Preview(site, 0, state)
    preview.start()
    yield preview
    state.close()
    preview.stop()


def ask(preview, path="/", method="GET", **headers):
    port = int(preview.url.rsplit(":", 1)[1].strip("/"))
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    named = {name.replace("_", "-"): value.replace("PORT", str(port)) if isinstance(value, str) else value for name, value in headers.items()}
    connection.request(method, path, headers={"Host": f"127.0.0.1:{port}", **named})
    answer = connection.getresponse()
    body = answer.read()
    connection.close()
    return answer.status, body, answer


def test_a_page_is_served_with_the_reloading_script(preview, site, state):
    status, body, _ = ask(preview)
    assert status == 200
    assert body == b'<body>home<script src="/.purfle/reload.js" data-pages="%d"></script></body>' % state.pages
    assert b"script" not in (site / "index.html").read_bytes()


def test_a_folder_leads_to_its_page(preview):
    status, _, answer = ask(preview, "/builds")
    assert (status, answer.headers["Location"]) == (301, "/builds/")
    assert b"builds" in ask(preview, "/builds/")[1]


def test_what_is_not_there_is_the_sites_own_page_of_it(preview):
    status, body, _ = ask(preview, "/nothing.html")
    assert (status, b"not here" in body) == (404, True)


def test_an_address_that_is_none_is_answered(preview):
    """A whole address stands in a request to a proxy (RFC 9112, 3.2.2); a bracket that is not closed makes it none (RFC 3986, 3.2.2)."""
    assert ask(preview, "http://[")[0] == 400


def test_head_has_the_header_of_the_page_and_no_body(preview):
    status, body, answer = ask(preview, "/style.css", "HEAD")
    assert (status, body, answer.headers["Content-Length"]) == (200, b"", "3")


@pytest.mark.parametrize(
    ("asked", "status", "told", "first", "bytes_"),
    [
        # RFC 9110, 14.1.2 and 14.4: its examples, of a length of 10000
        ("bytes=0-499", 206, "bytes 0-499/10000", 0, 500),
        ("bytes=500-999", 206, "bytes 500-999/10000", 500, 500),
        ("bytes=-500", 206, "bytes 9500-9999/10000", 9500, 500),
        ("bytes=9500-", 206, "bytes 9500-9999/10000", 9500, 500),
        # the last place may lie beyond the end, a suffix may be longer than all, units are told in any case (14.1.2, 14.1)
        ("Bytes=9999-20000", 206, "bytes 9999-9999/10000", 9999, 1),
        ("bytes=-20000", 206, "bytes 0-9999/10000", 0, 10000),
        ("bytes=10000-", 416, "bytes */10000", 0, 0),
        ("bytes=-0", 416, "bytes */10000", 0, 0),
        # an invalid or unknown one is passed over (14.2); several parts may be
        *((asked, 200, None, 0, 10000) for asked in ("bytes=5-4", "bytes=-", "bytes=x-5", "lines=0-4", "bytes=0-0,-1", "bytes=٣-", "")),
    ],
)
def test_a_part_of_a_sound_is_served(preview, site, asked, status, told, first, bytes_):
    sound = bytes(number * 7 % 251 for number in range(10000))
    (site / "sound.ogg").write_bytes(sound)
    found, body, answer = ask(preview, "/sound.ogg", Range=asked.encode())
    assert (found, answer.headers["Content-Range"], answer.headers["Accept-Ranges"]) == (status, told, "bytes")
    assert body == sound[first : first + bytes_] and int(answer.headers["Content-Length"]) == bytes_


@pytest.mark.parametrize(("method", "path", "more"), [("HEAD", "/style.css", {}), ("GET", "/style.css", {"If-Range": '"x"'}), ("GET", "/nothing", {})])
def test_a_part_is_for_a_plain_question_after_what_is_there(preview, method, path, more):
    """RFC 9110: 14.2, only GET knows a range; 13.1.5, one with another validator than ours is for the whole; 14.2, only of what would be a 200."""
    found, _, answer = ask(preview, path, method, Range="bytes=0-0", **more)
    assert found in (200, 404) and answer.headers["Content-Range"] is None


def test_a_fault_of_ours_is_told_and_a_closed_page_is_not(preview, monkeypatch, capsys):
    """Both leave the browser without an answer; only the first is anybody's business."""
    for fault, told in ((ConnectionResetError(), False), (ZeroDivisionError(), True)):
        monkeypatch.setattr("purfle.shell.preview.find", Mock(side_effect=fault))
        with pytest.raises(http.client.RemoteDisconnected):
            ask(preview)
        assert ("ZeroDivisionError" in capsys.readouterr().err) == told


def test_one_that_was_never_started_can_be_stopped(site, state):
    """The library waits for the end of what has to be serving."""
    stopping = threading.Thread(target=Preview(site, 0, state).stop, daemon=True)
    stopping.start()
    stopping.join(10)
    assert not stopping.is_alive()


@pytest.mark.parametrize("host", ["evil.example", "evil.example:PORT", "127.0.0.1:1", "127.0.0.1", "localhost.evil.example:PORT", ""])
def test_another_host_is_refused(preview, host):
    """A page elsewhere whose name was made to point here (DNS rebinding) sends its own name as host."""
    assert ask(preview, Host=host)[0] == 403


def test_localhost_is_this_machine_too(preview):
    assert ask(preview, Host="localhost:PORT")[0] == 200


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:1", "https://127.0.0.1:PORT"])
def test_another_origin_is_refused(preview, origin):
    assert ask(preview, Origin=origin)[0] == 403


@pytest.mark.parametrize(
    ("site_", "mode", "dest", "status"),
    [
        ("cross-site", "no-cors", "script", 403),
        ("same-site", "no-cors", "image", 403),
        ("cross-site", "navigate", "iframe", 403),
        ("cross-site", "navigate", "document", 200),
        ("same-origin", "no-cors", "script", 200),
    ],
)
def test_nothing_is_embedded_elsewhere(preview, site_, mode, dest, status):
    """Fetch Metadata Request Headers (W3C): what a browser says of where a request comes from."""
    assert ask(preview, Sec_Fetch_Site=site_, Sec_Fetch_Mode=mode, Sec_Fetch_Dest=dest)[0] == status


def test_no_header_lets_others_in(preview):
    headers = ask(preview)[2].headers
    assert not [name for name in headers if name.lower().startswith("access-control-")]
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "TRACE"])
def test_only_reading_is_answered(preview, method):
    assert ask(preview, method=method)[0] == 501


@pytest.mark.parametrize(
    "path",
    [
        "/../office/index.html",
        "/%2e%2e/office/index.html",
        "/..%2foffice/index.html",
        "/builds/../../office/index.html",
        "/.hidden",
        "/%2ehidden",
        "//etc/passwd",
        "/builds//index.html",
        "/..\\office\\index.html",
        "/index.html%00.css",
        "/C:/secret.txt",
        "/index.html::$DATA",
        "/builds/%2e%2e/%2e%2e/%2e%2e/shop.md",
    ],
)
def test_nothing_outside_the_site_is_served(preview, path):
    status, body, _ = ask(preview, path)
    assert (status, b"secret" in body) == (404, False)


def spoken(preview, *lines):
    """The status of every answer to raw bytes, and whether the connection was closed after them."""
    port = int(preview.url.rsplit(":", 1)[1].strip("/"))
    with socket.create_connection(("127.0.0.1", port), timeout=10) as connection:
        connection.sendall("\r\n".join(lines).replace("PORT", str(port)).encode())
        connection.shutdown(socket.SHUT_WR)
        return [part[:3] for part in connection.makefile().read().split("HTTP/1.1 ")[1:]]


@pytest.mark.parametrize("length", ["Content-Length: 200", "Content-Length: 0\r\nContent-Length: 200", "Transfer-Encoding: chunked"])
@pytest.mark.parametrize(("host", "status"), [("127.0.0.1:PORT", "200"), ("evil.example", "403")])
def test_what_comes_with_a_request_is_no_second_one(preview, length, host, status):
    """Request smuggling (RFC 9112, 11.2): a body that is not read must not be taken for a request."""
    inside = "GET /builds/ HTTP/1.1", "Host: 127.0.0.1:PORT", "", ""
    assert spoken(preview, "GET / HTTP/1.1", f"Host: {host}", length, "", *inside) == [status]
    assert spoken(preview, "GET / HTTP/1.1", "Host: 127.0.0.1:PORT", "", *inside) == ["200", "200"]


def test_nothing_is_answered_after_a_refusal(preview):
    """A space before the colon (RFC 9112, 5.1) ends the headers for Python's reader, so that it sees no length, and no host."""
    inside = "GET /builds/ HTTP/1.1", "Host: 127.0.0.1:PORT", "", ""
    assert spoken(preview, "GET / HTTP/1.1", "Content-Length : 200", "Host: 127.0.0.1:PORT", "", *inside) == ["403"]


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("Host: evil@127.0.0.1:PORT", "403"),
        ("Host: 127.0.0.1:PORT\r\nHost: evil.example", "403"),
        ("Host : 127.0.0.1:PORT", "403"),
        ("Host:\r\n 127.0.0.1:PORT", "403"),
        ("Host: localhost.:PORT", "403"),
        ("Host: 2130706433:PORT", "403"),
        ("X-Forwarded-Host: 127.0.0.1:PORT", "403"),
        ("HOST:\t127.0.0.1:PORT", "200"),
    ],
)
def test_a_host_that_only_looks_like_this_machine_is_refused(preview, host, status):
    assert spoken(preview, "GET / HTTP/1.1", host, "", "") == [status]


def test_no_drive_or_stream_is_served(site):
    """On Windows `C:x` leads to another drive, and `x::$DATA` to the same file under another name."""
    (site / "a:b.txt").write_text("b")
    assert find(site, "/a:b.txt") == (None, "") and find(site, "/style.css")[0] == b"p{}"


def test_slow_readers_do_not_keep_others_waiting(preview):
    port = int(preview.url.rsplit(":", 1)[1].strip("/"))
    slow = [socket.create_connection(("127.0.0.1", port), timeout=10) for _ in range(60)]
    for connection in slow:
        connection.sendall(b"GET / HT")
    assert ask(preview)[0] == 200
    for connection in slow:
        connection.close()


def test_no_link_is_followed(preview, site, tmp_path):
    (site / "away.md").symlink_to(tmp_path / "shop.md")
    (site / "office").symlink_to(tmp_path / "out" / "office")
    assert ask(preview, "/away.md")[0] == 404
    assert ask(preview, "/office/index.html")[0] == 404
    assert ask(preview, "/office/")[0] == 404


def test_an_out_that_is_a_link_is_not_followed(preview, site, tmp_path):
    assert ask(preview, "/")[0] == 200
    site.parent.rename(tmp_path / "elsewhere")
    site.parent.symlink_to(tmp_path / "elsewhere")
    assert ask(preview, "/")[0] == 404


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
def test_a_pipe_does_not_hang_it(preview, site):
    os.mkfifo(site / "pipe")
    assert ask(preview, "/pipe")[0] == 404


def test_it_listens_on_the_loopback_address_alone(preview):
    port = int(preview.url.rsplit(":", 1)[1].strip("/"))
    assert preview.url.startswith("http://127.0.0.1:")
    others = {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)} - {"127.0.0.1"}
    for address in others:
        with socket.socket() as probe:
            probe.settimeout(1)
            assert probe.connect_ex((address, port)) != 0


@contextmanager
def waiting(preview, state):
    """While a page waits for news; what it was told, at the end."""
    answers = []
    page = threading.Thread(target=lambda: answers.append(ask(preview, "/.purfle/state?since=0")[1]))
    page.start()
    assert state.changed.begun.wait(60)
    yield answers
    page.join(60)


def test_a_waiting_page_is_told_of_a_change(preview, state):
    before = state.pages
    with waiting(preview, state) as answers:
        state.tell(({"where": "a.md:1:1", "code": "x", "found": "f", "mend": "m"},), True)
    told = json.loads(answers[0])
    assert (told["pages"], told["troubles"][0]["where"]) == (before + 1, "a.md:1:1")


@pytest.mark.parametrize("since", ["\xb2", "-1", "", "9" * 40, "x"])
def test_a_turn_that_is_no_number_is_as_none(preview, since):
    """`²` is a digit to Unicode and no number to `int`."""
    with socket.create_connection(("127.0.0.1", int(preview.url.rsplit(":", 1)[1].strip("/")))) as asked:
        asked.sendall(f"GET /.purfle/state?since={since} HTTP/1.1\r\nHost: {preview.url[7:-1]}\r\nConnection: close\r\n\r\n".encode("latin-1"))
        assert asked.recv(100).startswith(b"HTTP/1.1 200 ")


def test_the_state_is_no_script_for_others(preview):
    assert ask(preview, "/.purfle/state?since=-1", Sec_Fetch_Site="cross-site", Sec_Fetch_Mode="no-cors", Sec_Fetch_Dest="script")[0] == 403


def test_closing_lets_waiting_pages_go(preview, state):
    with waiting(preview, state) as answers:
        state.close()
    assert json.loads(answers[0])["turn"] == 0


def test_the_script_goes_before_the_last_end_of_body():
    assert with_reload(b"<body>a</body> b</body>", 7).endswith(b' b<script src="/.purfle/reload.js" data-pages="7"></script></body>')
    assert with_reload(b"no body", 7).startswith(b"no body<script")


@pytest.mark.parametrize(
    ("policy", "served"),
    [
        ("default-src 'none'; style-src 'self'", "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'"),
        ("script-src 'none'; connect-src 'self'", "script-src 'self'; connect-src 'self'"),
    ],
)
def test_a_pages_own_policy_lets_the_script_run_in_served_bytes(policy, served):
    page = '<meta http-equiv="Content-Security-Policy" content="{}">'
    assert with_reload(page.format(policy).encode(), 7).startswith(page.format(served).encode())
