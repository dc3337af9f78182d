"""Compiles a shop again and again with less room than it needs. `python tests/crowded.py SHOP disk|limit DAY`; for a process of its own.

`disk` fills the disk that the shop lies on, `limit` lets no file grow beyond so much. Prints JSON: for each turn the exit status, whether the sites
stayed whole and what was left lying about, then the status of a compile with room again and whether it changed the sites.
"""

import json
import os
import random
import resource
import sys
from pathlib import Path

from out_folder import sites, strays
from PIL import Image

from purfle.shell.cli import run

ROOMS = (0, 1, 4, 8, 16, 32, 64, 128, 256, 2048)
"""KiB, turn by turn; the last is enough."""


class Crowded:
    """A shop of `purfle start` and the room it has."""

    def __init__(self, shop, way, day):
        self.shop, self.way, self.day = shop, way, day
        self.note, self.settings, self.filler = shop / "builds/first/build.md", shop / "shop.md", shop.parent / "filler"
        self.words, self.named = self.note.read_text(), self.settings.read_text()

    def write(self, turn):
        """Another state of the notes: another name on each page, another picture."""
        self.settings.write_text(self.named.replace("\nname: ", f"\nname: {turn} "))
        self.note.write_text(self.words + "\n![The front](front.jpg)\n")
        Image.frombytes("RGB", (160, 120), random.Random(turn).randbytes(160 * 120 * 3)).save(self.note.with_name("front.jpg"))

    def compile(self):
        return run(["compile", "--quiet", "--shop", str(self.shop), "--today", self.day])

    def crowd(self, room):
        """Leave so many KiB on the disk, or let no file have more."""
        if self.way == "limit":
            return resource.setrlimit(resource.RLIMIT_FSIZE, (room * 1024, resource.RLIM_INFINITY))
        free = os.statvfs(self.shop).f_bavail * os.statvfs(self.shop).f_bsize
        self.filler.write_bytes(bytes(max(0, free - room * 1024)))

    def clear(self):
        self.filler.unlink(missing_ok=True)
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))

    def turn(self, number, room):
        before = sites(self.shop)
        self.write(number)
        self.crowd(room)
        status = self.compile()
        self.clear()
        whole, left = sites(self.shop) == before, strays(self.shop)
        again = self.compile()
        return {"status": status, "whole": whole, "left": left, "again": again, "after": sites(self.shop) != before}


if __name__ == "__main__":
    crowded = Crowded(Path(sys.argv[1]), *sys.argv[2:])
    crowded.write(0)
    assert crowded.compile() == 0
    print(json.dumps([crowded.turn(number, room) for number, room in enumerate(ROOMS, 1)]))
