"""No network at any time: every command runs where sockets are refused; following listens on the loopback address and does nothing else.

The interpreter tells its audit hooks of every socket that Python makes, connects or looks a name up for (PEP 578, the standard library's table of audit events).
"""

import http.client
import os
import re
import signal
import subprocess
import sys
import threading

import pytest
from shop_texts import with_show

from purfle.shell import cli

DAY = "2026-05-20"
REFUSING = """
import socket, sys

LISTENING = {listening}
ALLOWED = {{"socket.__new__", "socket.bind"}} if LISTENING else set()


def refuse(event, args):
    if not event.startswith("socket."):
        return
    if event == "socket.__new__" and args[1] == getattr(socket, "AF_UNIX", None):
        return
    if event not in ALLOWED or (event == "socket.bind" and args[1][0] != "127.0.0.1"):
        raise AssertionError(f"the network was used: {{event}} {{args[1:]}}")


sys.addaudithook(refuse)
from purfle.shell.entry import main
sys.argv[0] = "purfle"
main()
"""
COMMANDS = {
    "start": ["{root}/other"],
    "note": ["first", "{shop}"],
    "check": ["{shop}", "--json"],
    "compile": ["{shop}", "--why"],
    "week": ["{shop}", "--job", "4"],
    "lineup": ["{shop}", "--keep", "2026-05-29"],
    "year": ["2026", "{shop}", "--xlsx", "{root}/year.xlsx"],
    "sheet": ["first", "{shop}"],
    "quote": ["first", "{shop}"],
    "fields": ["--schema"],
}
"""What each command is asked; `follow` has a test of its own."""


@pytest.fixture(scope="module")
def root(tmp_path_factory):
    """A folder with a shop that has a picture."""
    from PIL import Image

    root = tmp_path_factory.mktemp("offline")
    assert cli.run(["start", str(root / "shop"), "--today", DAY]) == 0
    with_show(root / "shop")
    Image.new("RGB", (320, 200), "teal").save(root / "shop/builds/first/front.jpg")
    with (root / "shop/builds/first/build.md").open("a", encoding="utf-8") as sheet:
        sheet.write("\n![The front](front.jpg)\n")
    return root


def words(root, command):
    said = [word.format(root=root, shop=f"--shop={root / 'shop'}") for word in COMMANDS[command]]
    return [command, *said, *(["--today", DAY] if command != "fields" else [])]


def refusing(listening=False):
    return [sys.executable, "-u", "-c", REFUSING.format(listening=listening)]


def test_no_command_is_forgotten():
    assert {*COMMANDS, "follow"} == set(cli.purfle.commands)


@pytest.mark.parametrize("command", [*COMMANDS, *(f"{command} --help" for command in [*COMMANDS, "follow"])])
def test_no_command_makes_a_socket_or_looks_up_a_name(root, command):
    asked = words(root, command) if command in COMMANDS else command.split()
    said = subprocess.run([*refusing(), *asked], capture_output=True, text=True, env={**os.environ, "EDITOR": "true"}, timeout=120)
    assert said.returncode == 0 and "the network was used" not in said.stdout + said.stderr, said.stderr


def test_following_listens_on_the_loopback_address_and_does_nothing_else(root):
    asked = ["follow", "--shop", str(root / "shop"), "--today", DAY, "--office-port", "0", "--showroom-port", "0"]
    with subprocess.Popen([*refusing(listening=True), *asked], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as follower:
        patience = threading.Timer(300, follower.kill)
        patience.start()
        try:
            head = [next(line for line in follower.stdout if sign in line) for sign in ("office ", "showroom ", "pages changed")]
            connection = http.client.HTTPConnection(re.search(r"127\.0\.0\.1:\d+", head[1])[0], timeout=30)
            connection.request("GET", "/")
            assert connection.getresponse().status == 200
            connection.close()
        finally:
            follower.send_signal(signal.SIGINT)
            _, err = follower.communicate(timeout=60)
            patience.cancel()
    assert (follower.returncode, err) == (0, "")


def test_a_command_that_used_the_network_would_be_seen():
    for use in (
        "socket.create_connection(('203.0.113.1', 80), 1)",
        "socket.getaddrinfo('example.org', 80)",
        "socket.gethostbyname('example.org')",
        "socket.socket(socket.AF_INET6)",
    ):
        code = REFUSING.format(listening=False).partition("from purfle")[0] + f"\ntry:\n    {use}\nexcept AssertionError as refused:\n    print(refused)\n"
        assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout.startswith("the network was used"), use
