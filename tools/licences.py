"""The licence of everything purfle needs to run, and whether each may be shipped beside an MIT program; ends with 1 when one is unknown or refused.

Read from the metadata of what is installed (importlib.metadata); what purfle needs is followed from its own requirements, tests left out.
"""

import re
import sys
from importlib import metadata

WELCOME = re.compile(
    r"\b(MIT|BSD|Apache|PSF|Python Software Foundation|ISC|MPL[- ]?2|Mozilla Public License 2|HPND|MIT-CMU|0BSD|Zlib|CC0|Unlicense|LGPL)\b", re.IGNORECASE
)
"""LGPL is welcome as a separate library, unchanged, which is how pip installs it; strong copyleft (GPL, AGPL) is not in the list."""


def needed(name: str = "purfle", seen: dict[str, str] | None = None) -> dict[str, str]:
    """Everything that must be installed to run, with its licence as its metadata says."""
    seen = {} if seen is None else seen
    for requirement in metadata.requires(name) or ():
        words, _, marker = requirement.partition(";")
        other = re.match(r"[A-Za-z0-9._-]+", words)
        if other is None or "extra ==" in marker or other[0].casefold() in seen or not _installed(other[0]):
            continue
        seen[other[0].casefold()] = licence(other[0])
        needed(other[0], seen)
    return seen


def _installed(name: str) -> bool:
    try:
        metadata.metadata(name)
    except metadata.PackageNotFoundError:
        return False  # for another system, or another Python
    return True


def licence(name: str) -> str:
    """A licence expression, the classifiers, or the first line of the licence field."""
    about = metadata.metadata(name)
    classifiers = [line.rpartition(" :: ")[2] for line in about.get_all("Classifier") or () if line.startswith("License ::")]
    expression, field = ((about.get_all(key) or [""])[0] for key in ("License-Expression", "License"))
    return expression or "; ".join(classifiers) or field.strip().split("\n")[0] or "unknown"


def main() -> int:
    """Print the list; 1 when one of them is not welcome."""
    found = needed()
    bad = [name for name, words in found.items() if not WELCOME.search(words)]
    for name, words in sorted(found.items()):
        print(f"{name:24} {metadata.version(name):14} {words}{'   <- look at this' if name in bad else ''}")
    return bool(bad)


if __name__ == "__main__":
    sys.exit(main())
