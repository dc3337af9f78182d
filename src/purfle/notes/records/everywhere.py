"""Every word that is a key anywhere in the notes.

Invariant: declares none.
"""

from purfle.base.trouble import listed
from purfle.notes.records.build import BuildSheet
from purfle.notes.records.note import NoteSheet
from purfle.notes.records.shop import ShopSheet
from purfle.notes.records.show import BulletinSheet, EpisodeSheet
from purfle.notes.vocabulary.fields import keys_of, money_under, words_under

_FILES = {
    "a build sheet": BuildSheet,
    "a bench note or a journal day": NoteSheet,
    "an episode": EpisodeSheet,
    "a bulletin": BulletinSheet,
    "shop.md": ShopSheet,
}
_WORDS = frozenset().union(*map(words_under, _FILES.values()))
ELSEWHERE = {word: listed([file for file, record in _FILES.items() if word in keys_of(record)]) for word in _WORDS}
"""Every word that is a key anywhere → the files in which it begins a line of its own; empty where it only stands under another key."""
MONEY = frozenset().union(*map(money_under, _FILES.values()))
"""Those of them that hold an amount of money somewhere."""
