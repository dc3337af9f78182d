"""Notes as no builder would write them: no traceback, no hang, whatever the bytes. `python tests/fuzzing.py [inputs] [seed] [folder]` for a long run.

Each input is a real note (the demo's, the cases of the troubles) bent by a few random changes, or tokens strung together; or a file's name; or the
bytes of a picture or a sound. Every note is read and checked as a shop; its text is made a page's; every fiftieth goes through books, plan and both sites.
What is found is kept in the folder as a case, and the findings that were mended are in `tests/cases/fuzz`, which the normal tests read again.

A case is the file's name on a line, then its bytes in pieces: how often, and the piece as JSON, a letter a byte; `{n}` in a repeated piece counts.
"""

import contextlib
import io
import json
import random
import resource
import signal
import sys
import time
import traceback
from datetime import date
from pathlib import Path

from demo_shop import notes

from purfle.base.trouble import Wrong
from purfle.compile import Analysis
from purfle.notes.shop import read_shop
from purfle.pages.site_files import packaged
from purfle.shell.pixels import develop
from purfle.shell.sounds import stripped
from purfle.sites import Kit, render
from purfle.views.markdown import rendered
from purfle.views.markdown_rules import Surroundings
from purfle.views.office_troubles import Held

HERE = Path(__file__).parent
TODAY = date(2026, 5, 20)
MOST_SECONDS = 5.0
"""Of the processor, for one input of at most some 100 kB."""
MOST_MEMORY = 800
"""MB, for the whole of a long run."""
TOKENS = [
    ":",
    "-",
    ",",
    "[",
    "]",
    "{",
    "}",
    "#",
    "&",
    "*",
    "!",
    "|",
    ">",
    "'",
    '"',
    "%",
    "@",
    "`",
    "~",
    "\\",
    "/",
    "<",
    "=",
    "?",
    "---",
    ":::",
    "```",
    "$",
    "€",
    "yes",
    "no",
    "null",
    "0",
    "-1",
    "1e999",
    "NaN",
    "Infinity",
    "39,80",
    "1:30",
    "2h30",
    "9999-12-31",
    "0000-00-00",
    "2026-02-30",
    "00000000000000000000000000000000000001",
    "99999999999999999999999999999999999999999999.99",
    "title",
    "stage",
    "hours",
    "finished",
    "used",
    "bought",
    "sold",
    "qty",
    "cost",
    "item",
    "date",
    "price",
    "build",
    "kind",
    "sale",
    "parts",
    "segments",
    "minutes",
    "promises",
    "do",
    "in",
    "next",
    "heron",
    "../../x",
    "javascript:alert(1)",
    "data:text/html,x",
    "<script>",
    "</style>",
    "{{7*7}}",
    "{%x%}",
    "\x00",
    "\x1b[31m",
    "\u202e",
    "\u200b",
    "\ufeff",
    "\u2028",
    "é",
    "é",
    "İ",
    "ß",
    "𝔘",
    "👩\u200d🚀",
    "![a](b)",
    "[a](",
    "[a]:",
    "[^1]",
    "[^1]:",
    "x",
    "a",
    "private",
    "<!--",
    "-->",
    "***",
    "___",
    "##",
    "Heron",
    "###",
]
TOKENS += ["\n", "\n\n", "\n  ", "\t", "\r\n", ": ", "- ", "\n- ", "\n---\n", "&a ", "*a ", "!!python/object/apply:os.system ", "<<: ", "? "]
UPRIGHT = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0"
NAMES = (
    "builds/heron/build.md",
    "builds/heron/2026-03-14.md",
    "journal/2026-03-14.md",
    "journal/episodes/2026-04-03.md",
    "journal/bulletins/2026-03-16.md",
    "shop.md",
)


class Hang(Exception):
    """An input took longer than it may."""


def seeds():
    """Real notes by the kind of file they are."""
    found = {name: [] for name in NAMES}
    for name, data in notes().items():
        found[_alike(name)].append(data)
    cases = [path.read_bytes() for path in sorted((HERE / "cases/troubles").glob("*.case"))]
    return {name: [*texts, *cases] for name, texts in found.items()}


def _alike(name):
    """Which of NAMES a note's own name is of one kind with."""
    kinds = {"builds/": NAMES[1], "journal/episodes/": NAMES[3], "journal/bulletins/": NAMES[4], "journal/": NAMES[2]}
    plain = {"build.md": NAMES[0], "shop.md": NAMES[5]}.get(name.rpartition("/")[2])
    return plain or next(kind for folder, kind in kinds.items() if name.startswith(folder))


def bent(chance, data):
    """The bytes with one to six changes."""
    data = bytearray(data)
    for _ in range(chance.randrange(1, 7)):
        at, kind = chance.randrange(len(data) + 1), chance.randrange(8)
        if kind == 0:
            del data[at : at + chance.randrange(1, 40)]
        elif kind == 1:
            data[at:at] = chance.choice(TOKENS).encode("utf-8", "surrogatepass")
        elif kind == 2:
            data[at:at] = bytes(chance.randrange(256) for _ in range(chance.randrange(1, 5)))
        elif kind == 3:
            end = chance.randrange(len(data) + 1)
            data[at:at] = data[min(at, end) : max(at, end)][:400]
        elif kind == 4:
            data[at:at] = chance.choice(TOKENS).encode("utf-8", "surrogatepass") * chance.choice((2, 10, 100, 2000))
        elif kind == 5 and b"\n" in data:
            lines = data.split(b"\n")
            chance.shuffle(lines) if chance.random() < 0.2 else lines.insert(chance.randrange(len(lines)), chance.choice(lines))
            data = bytearray(b"\n".join(lines))
        elif kind == 6:
            data[at : at + 8] = chance.choice(TOKENS).encode("utf-8", "surrogatepass")
        elif b": " in data:
            start = data.find(b": ", at)
            if start >= 0:
                end = data.find(b"\n", start)
                data[start + 2 : end if end > 0 else len(data)] = chance.choice(TOKENS).encode("utf-8", "surrogatepass")
    return bytes(data[:120_000])


def note_input(chance, known):
    name = chance.choice(NAMES)
    data = (
        bent(chance, chance.choice(known[name]))
        if chance.random() < 0.8
        else "".join(chance.choice(TOKENS) + chance.choice(("", " ", "\n")) for _ in range(chance.randrange(1, 200))).encode("utf-8", "surrogatepass")
    )
    return name, data


def name_input(chance, known):
    letters = "ab./\\- _:#?%*\x00\x1b\n\u202e\u200bé٣İ" + "0123456789"
    name = (
        chance.choice(("builds/", "journal/", "builds/heron/", "journal/episodes/", ""))
        + "".join(chance.choice(letters) for _ in range(chance.randrange(1, chance.choice((6, 20, 255)))))
        + chance.choice((".md", "/build.md", "", ".MD"))
    )
    return name, chance.choice(known[NAMES[1]])


def whole(files, full):
    """What a shop of these files does: read, checked, its words made HTML; in full on request."""
    if full:
        analysis = Analysis(files, frozenset(), TODAY)
        made = render(analysis, Kit({}, {}, packaged("showroom"), packaged("office"), Held()))
        if made.office is None and made.troubles:
            _ = analysis.books, analysis.show, analysis.sheets
        shop = analysis.shop
    else:
        shop, _ = read_shop(files, (), TODAY)
    for body in (shop.about, *(b.story for b in shop.builds), *(n.body for n in shop.notes), *(e.body for e in shop.episodes)):
        rendered(body, Surroundings())


PLAIN = {
    "shop.md": b"---\nname: s\nroutes: {r: [{stage: strip, hours: 2}, {stage: colour, hours: 1}]}\n---\n",
    "builds/heron/build.md": b"---\ntitle: Heron\nroute: r\nshowroom: yes\nserial: A 10417\nacquired: {date: 2026-01-10, price: 280, from: Fernhill Clearances}\n---\n",
}


def try_note(name, data, full=False):
    """One note among two plain files. Raises what goes wrong, `Hang` for too long."""
    began = time.process_time()
    whole({**PLAIN, name: data}, full)
    if (took := time.process_time() - began) > MOST_SECONDS:
        raise Hang(f"{took:.1f} s of the processor")


def pictures():
    """A small picture in each format."""
    from PIL import Image
    from pillow_heif import register_heif_opener

    register_heif_opener()
    image, found = Image.effect_noise((64, 48), 50).convert("RGB"), []
    for kind, ending in (("JPEG", "jpg"), ("PNG", "png"), ("WEBP", "webp"), ("HEIF", "heic")):
        out = io.BytesIO()
        image.save(out, kind, **({"exif": UPRIGHT} if kind in ("JPEG", "WEBP") else {}))
        found.append((ending, out.getvalue()))
    return found


def sounds():
    """A short sound in each format."""
    from test_sounds import KINDS, sound

    return [(kind.rpartition(".")[2], sound(kind, seconds=0.05)) for kind in KINDS]


def try_made(ending, data):
    """One picture or sound. Raises what goes wrong but the shop's own refusal."""
    began = time.process_time()
    with contextlib.suppress(Wrong):
        develop(data, ending) if ending in ("jpg", "png", "webp", "heic") else stripped(data)
    if (took := time.process_time() - began) > MOST_SECONDS:
        raise Hang(f"{took:.1f} s of the processor")


def try_input(name, data, full=False):
    """One file of a shop, whatever its kind. Raises what goes wrong."""
    stem, _, ending = name.rpartition(".")
    try_made(ending, data) if stem == "builds/heron/made" else try_note(name, data, full)


def case_of(name, data):
    """The text of a case."""
    return f"{name}\n1 {json.dumps(data.decode('latin-1'))}\n"


def read_case(text):
    """The name and the bytes of a case."""
    name, *pieces = text.rstrip("\n").split("\n")
    data = b""
    for piece in pieces:
        times, _, written = piece.partition(" ")
        bytes_ = json.loads(written).encode("latin-1")
        data += bytes_ if times == "1" else b"".join(bytes_.replace(b"{n}", b"%d" % n) for n in range(int(times)))
    return name, data


def _hung(*_):
    raise Hang("over the bound")


def one_input(chance, known, made):
    """A name and bytes."""
    kind = chance.random()
    if kind < 0.8:
        return note_input(chance, known)
    if kind < 0.87:
        return name_input(chance, known)
    ending, data = chance.choice(made)
    return f"builds/heron/made.{ending}", bent(chance, data)


def fuzz(inputs, seed, keep=None, full_every=50):
    """Run so many inputs; gives the findings as (what, name, bytes)."""
    chance, known, made, found = random.Random(seed), seeds(), [*pictures(), *sounds()], []
    signal.signal(signal.SIGVTALRM, _hung)
    for number in range(inputs):
        name, data = one_input(chance, known, made)
        full = number % full_every == 0
        try:
            signal.setitimer(signal.ITIMER_VIRTUAL, MOST_SECONDS * (4 if full else 1))
            try_input(name, data, full)
        except Exception as fault:
            where = traceback.extract_tb(fault.__traceback__)
            last = next((f for f in reversed(where) if "/purfle/" in f.filename), where[-1])
            found.append((f"{type(fault).__name__} {Path(last.filename).name}:{last.lineno} {str(fault)[:90]}", name, data))
            if keep:
                (keep / f"{seed}-{number}.case").write_text(case_of(name.replace("\n", " "), data), "utf-8", "replace")
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        if keep and number % 5000 == 4999:
            print(number + 1, "inputs,", len(found), "found,", _memory(), "MB", flush=True)
    return found


def _memory():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


if __name__ == "__main__":
    inputs, seed = (int(word) for word in (*sys.argv[1:3], *("100000", "1")[len(sys.argv) - 1 :])[:2])
    folder = Path(sys.argv[3] if len(sys.argv) > 3 else "fuzz-found")
    folder.mkdir(exist_ok=True)
    began = time.monotonic()
    found = fuzz(inputs, seed, folder)
    kinds = {}
    for what, name, _ in found:
        kinds.setdefault(what, []).append(name)
    print(f"{inputs} inputs, seed {seed}, {time.monotonic() - began:.0f} s, greatest memory {_memory()} MB, {len(found)} found")
    for what, names in sorted(kinds.items(), key=lambda pair: -len(pair[1])):
        print(f"{len(names):6} {what}  {names[0]!r}")
    sys.exit(bool(found) or _memory() > MOST_MEMORY)
