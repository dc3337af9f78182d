"""What was meant by an unknown key, or by what stands where keys belong: it is told with its mend, and never read as meant.

Invariant: reads no mapping and knows no key of the vocabulary, which are in `purfle.notes.records`.
"""

import re
from collections.abc import Container, Iterable, Iterator, Set
from itertools import pairwise

from purfle.base.meant import figures
from purfle.base.near import nearest
from purfle.base.trouble import Wrong, listed
from purfle.notes.frontmatter.key_line import NO_SPACE, behind_hyphen, half_key, lacking, plain_word
from purfle.notes.frontmatter.tree import Entry, Mapping, Node, Scalar, Sequence, is_empty, on_one_line
from purfle.notes.vocabulary.fields import Key, Reading, Record, keys_of, reads_as, required_keys, takes_words, tells_a_key

# --- a key that is not known ------------------------------------------------------------------------------------------

_SAYS_ONLY = frozenset(("humidity", "note", "title", "why", "words"))
"""Keys that hold words alone wherever they stand, or what a hygrometer says: where they are not used nothing is lost but these, and no other figure is."""
_SAYS_WHICH = frozenset("article batch code colour color gauge grade grit id invoice no nr number order receipt ref shade sheen size sku tracking".split())
"""Words in keys of the owner's own behind which a figure says which one it is, or what it is like, and is no amount, count or day of the books."""


_BESIDE = re.compile(r"\([^()]*\)|<!--|-->|^\W+|\W+$")
"""What people write about a key: `cost (net)`, `// cost`, `cost?`."""


def tell_unknown(entry: Entry, mapping: Mapping, written: Set[str], record: type[Record], reading: Reading) -> str:
    """Tell of a key that is none here, `written` being all of the mapping's; gives the key that is meant, where that is plain and none of them, else nothing."""
    code, found, mend, meant = _unknown(entry, mapping, written, record, reading)
    reading.troubles.add(entry.key.at, code, found, mend)
    return "" if meant in written else meant


def _unknown(entry: Entry, mapping: Mapping, written: Set[str], record: type[Record], reading: Reading) -> tuple[str, str, str, str]:
    """Code, cause and mend of a key that is none here, and the key that is meant; empty where none is."""
    text, word, known, value = entry.key.text.strip(), plain_word(entry.key.text), keys_of(record), entry.value
    no_key = f"there is no key {text} here"
    half, glued = half_key(text), behind_hyphen(text)
    if half and half.word in known and is_empty(value):
        return "key-glued", *lacking(half), half.word
    if glued and (glued[0] in "{[" or plain_word(glued) in known):
        mend, meant = f"{glued}: {value.text if isinstance(value, Scalar) else ''}".rstrip(), plain_word(glued.lstrip("{["))
        if glued[0] in "{[" or _is_below_a_list(entry, mapping):
            return "key-glued", NO_SPACE, f"write - {mend}", meant
        return "key-glued", f"a hyphen stands before the key {glued}", f"write {mend}", meant
    if in_full := record.IN_FULL.get(word):
        return "key-misspelt", no_key, in_full, ""
    if (meant := _meant(word, known) or _only_missing(entry, written, record)) and meant not in written:
        return "key-misspelt", no_key, f"write {meant}", meant
    if word in reading.elsewhere and word not in _SAYS_ONLY:
        return "key-misplaced", f"the key {text} is not used here", _home(word, known, mapping, reading.elsewhere[word]), ""
    if word not in _SAYS_ONLY and (meant := _may_be_missing(entry, mapping, written, record)):
        return "key-misspelt", f"{no_key}, and {meant} is missing", f"write {meant} if that is what it says, else take it out and add {meant}:", meant
    counts = _may_count(word, value, mapping, record)
    lost = "what stands behind it is in no figure" if counts else "its value is not used"
    return "figure-unused" if counts else "key-unknown", f"{no_key}; {lost}", f"take it out, or use one of {listed(known, 12)}", ""


def _is_below_a_list(entry: Entry, mapping: Mapping) -> bool:
    """Whether a key with a hyphen stands where a line of a list may: below a key without a value, or another with a hyphen."""
    above = next((other for other, own in pairwise(mapping.entries) if own is entry), None)
    return above is not None and (is_empty(above.value) or behind_hyphen(above.key.text) != "")


def _only_missing(entry: Entry, written: Container[str], record: type[Record]) -> str:
    """The one key that must be written, is not, and can have this value, where its value is no words; empty for none."""
    if not isinstance(entry.value, Scalar) or is_empty(entry.value):
        return ""
    missing = [word for word, _, declared in required_keys(record) if word not in written and tells_a_key(declared.kind, entry.value.text)]
    return missing[0] if len(missing) == 1 else ""


def _may_be_missing(entry: Entry, mapping: Mapping, written: Set[str], record: type[Record]) -> str:
    """The one key that must be written on a line and is not, where this one alone is not known there and its words may be that key's; empty for none.

    At the top of a file, where a key of the owner's own may well stand, neither is the cause of the other.
    """
    missing = [(word, declared) for word, _, declared in required_keys(record) if word not in written]
    if len(missing) != 1 or mapping.at.column == 1 or not isinstance(entry.value, Scalar) or is_empty(entry.value):
        return ""
    own, known = plain_word(entry.key.text), keys_of(record)
    if any(word != own and word not in known for word in written):
        return ""
    return missing[0][0] if reads_as(missing[0][1].kind, entry.value.text) else ""


_FIGURE = re.compile(r"\W{0,3}\d[\d.,:/ -]*\D{0,3}")


def _may_count(word: str, value: Node, mapping: Mapping, record: type[Record]) -> bool:
    """Whether a value that is not used may be money, a count or a day: keys of its own, or a figure on a line with amounts, but for `invoice no: 12`.

    A figure at the top of a file, where its mapping begins in the first column, may well be the owner's own: `humidity: 45`.
    """
    if not isinstance(value, Scalar):
        return isinstance(value, Mapping) or any(isinstance(item, Mapping) for item in value.items)
    on_a_line = mapping.at.column > 1 and any(declared.kind.money for _, declared in keys_of(record).values())
    return on_a_line and _SAYS_WHICH.isdisjoint(re.findall(r"[a-z]+", word)) and _FIGURE.fullmatch(value.text.strip()) is not None


def _home(word: str, known: dict[str, tuple[str, Key]], mapping: Mapping, files: str) -> str:
    """What to do with a key that is known, and not here: under which key of this mapping it stands, if under one, else in which `files`."""
    homes = [f"{own}:" for own, (_, declared) in known.items() if declared.kind.part is not None and word in keys_of(declared.kind.part)]
    if homes:
        return f"move it under {listed(homes)}"
    if files and mapping.at.column == 1:
        return f"move it to {files}"
    return f"take it out, or use one of {listed(known, 12)}"


def _meant(word: str, known: dict[str, tuple[str, Key]]) -> str:
    """The key that people who write `word` mean by it, else the one it is nearly spelt like, or is with something written about it; empty for none."""
    bare = plain_word(_BESIDE.sub("", word.replace("_", " ")))
    if bare in known:
        return bare
    return next((own for own, (_, declared) in known.items() if bare in declared.instead_of), None) or nearest(word, known) or ""


# --- a key within the value before it -----------------------------------------------------------------------------------

_NAMING = frozenset(("item", "part", "stage", "build", "lot"))
"""Keys whose value is a name: one that goes on with `, for …` or `, from …` lacks a colon, where other words may well do so."""


def key_within(word: str, value: Node, mapping: Mapping, known: dict[str, tuple[str, Key]], reading: Reading) -> str | None:
    """Tell of `{item: sandpaper, qty 20}`: a key of this mapping that lacks its colon would else be words of the value before it. Gives that key.

    Behind other words only where what follows it can't be words itself: `nickel plating, paid in cash` stays a text.
    """
    if not isinstance(value, Scalar) or not value.joined:
        return None
    written = {plain_word(entry.key.text) for entry in mapping.entries}
    for comma in re.finditer(r",\s*", value.text):
        half = half_key(value.text[comma.end() : comma.end() + _LONGEST])
        if half is None or half.word not in known or half.word in written:
            continue
        kind, said = known[half.word][1].kind, half.value.partition(",")[0].strip()
        if kind.part is not None or not reads_as(kind, said) or (word not in _NAMING and takes_words(kind)):
            continue
        over = 0 if "\n" in value.text[: comma.start()] else comma.end()
        mend = f"write {half.key}: {said}, or put quotes round all of it if these are words"
        reading.troubles.wrong(value.at, Wrong("key-glued", f"{word}: no colon stands after {half.key}", mend, over))
        return half.word
    return None


_LONGEST = 250
"""Letters of a key and its value within another; no text of more of them is looked through again for each comma."""


def half_a_key_alone(record: type[Record], node: Scalar) -> None:
    """Tell of `unit = can` where the value of one key may stand alone: a key that lacks its colon would be words of that value."""
    half = None if node.quoted else half_key(node.text.strip())
    if half and half.mark.strip()[-1:] in tuple(":=\uff1a\ufe55→>") and half.word in keys_of(record):
        raise Wrong("key-glued", *lacking(half))


# --- no keys where keys belong -----------------------------------------------------------------------------------------


def mapping_mend(record: type[Record], node: Node) -> str:
    """What to write where something else than a mapping stands: its own keys without the hyphens of a list, the record's own reading of the words, or an example."""
    items = node.items if isinstance(node, Sequence) else ()
    words = [plain_word(entry.key.text) for item in items if isinstance(item, Mapping) for entry in item.entries]
    if words and len(set(words)) == len(words) and keys_of(record).keys() >= set(words):
        return "take out the hyphens or brackets before the keys, and begin all of them in one column"
    in_keys = record.IN_KEYS
    if in_keys is not None and isinstance(node, Scalar) and (whole := in_keys(node.text)):
        return f"write {whole}"
    out = "take it out, or " if isinstance(node, Scalar) and node.text.strip().casefold() in _NONE else ""
    return f"{out}write keys such as {_sample(record, node)}"


def no_names_as_keys(record: type[Record], node: Mapping) -> None:
    """Tell of `{clear lacquer: 0.5}`, the name of a thing where the key of the name belongs: one cause, and no three keys amiss."""
    pair = record.PAIR
    if pair is None:  # so it is with most records, and every mapping of a shop comes by here
        return
    known = keys_of(record)
    names = {plain_word(entry.key.text) for entry in node.entries}
    if len(node.entries) == 1 and isinstance(whole := node.entries[0].value, Mapping) and not names & known.keys() and _all_known(whole, known):
        mend = f"write {{{pair[0]}: {node.entries[0].key.text.strip()}, {on_one_line(whole)[1:]}"
        raise Wrong("mapping-expected", "a name stands where a key belongs", mend)
    plain = [(e.key.text.strip(), e.value.text) for e in node.entries if isinstance(e.value, Scalar) and re.match(r"[\d.½¼¾]", e.value.text)]
    if not plain or len(plain) < len(node.entries) or any(_meant(word := plain_word(name), known) or word in known for name, _ in plain):
        return
    counts = [alone[0] if pair[1] == "qty" and len(alone := figures(text)) == 1 else text for _, text in plain]
    lines = ", ".join(f"{{{pair[0]}: {name}, {pair[1]}: {count}}}" for (name, _), count in zip(plain, counts, strict=True))
    raise Wrong("mapping-expected", "a name stands where a key belongs", f"write {lines if len(plain) == 1 else f'[{lines}]'}")


def _all_known(node: Mapping, known: Container[str]) -> bool:
    return bool(node.entries) and all(plain_word(entry.key.text) in known for entry in node.entries)


def no_colon_in_words(record: type[Record], node: Mapping) -> None:
    """Tell of `[steam: neck out]`, where words may stand alone and a colon within them makes a key of the first: one cause, and no key missing."""
    known, short = keys_of(record), record.SHORT
    if short is None or len(node.entries) != 1 or not takes_words(known[short][1].kind):
        return
    key, value = node.entries[0].key, node.entries[0].value
    word, half = plain_word(key.text), half_key(key.text.strip())
    if word in known or not isinstance(value, Scalar) or is_empty(value) or _meant(word, known) or record.IN_FULL.get(word):
        return
    if half and half.word in known:  # `shot spray: 2`, which is no words with a colon in them
        return
    own = plain_word(value.text)
    if own in known and reads_as(known[own][1].kind, "yes"):
        raise Wrong("mapping-expected", "a name stands where a key belongs", f"write {{{short}: {key.text.strip()}, {own}: yes}}")
    mark = "'" if '"' in key.text + value.text else '"'
    raise Wrong("mapping-expected", f"a colon in the words makes a key of {key.text.strip()}", f"write {mark}{key.text.strip()}: {value.text}{mark}")


_PLAIN_WORDS = re.compile(r"[^\W\d_]+\.?(?:[ -][^\W\d_]+\.?){0,5}")
_SUM = re.compile(r"\d+(?:\.\d+)?(?: ?%)?")
_SPAN = re.compile(r"(\d{4}-\d\d-\d\d)\s*(?:-|–|to|until)\s*(\d{4}-\d\d-\d\d)")
_NONE = ("no", "none", "n/a", "nothing", "not yet", "false")
_DAY_OR_SUM = re.compile(rf"\d{{4}}-\d\d-\d\d|{_SUM.pattern}")
_NAME_AND_SUM = re.compile(rf"({_PLAIN_WORDS.pattern}) ({_SUM.pattern})|({_SUM.pattern}) ({_PLAIN_WORDS.pattern})")
"""`klarlak 2`, or the other way about."""


def _sample(record: type[Record], written: Node) -> str:
    """A mapping as it would be typed: with the record's `SAMPLE` keys, or those that must be there and of others as many as make it two.

    A name, a day and a sum that were `written` stand in it under the first key that each can be the value of. Where that is the first key of all,
    nothing stands beside it that nobody wrote and need not be there, but for what `SAMPLE` adds to a figure or a day.
    """
    known, shown = keys_of(record), record.SAMPLE
    words = shown or sorted(known, key=lambda word: not known[word][1].required)[: max(2, len(required_keys(record)))]
    samples = {word: known[word][1].example for word in words}
    said = written.text.strip() if isinstance(written, Scalar) else ""
    filled: set[str] = set()
    for part in _parts(said):
        plain = _PLAIN_WORDS.fullmatch(part) and part.casefold() not in ("yes", *_NONE)
        left = [word for word in words if word not in filled]
        if (plain or _DAY_OR_SUM.fullmatch(part)) and (taker := next(_takers(part, left, known), None)):
            samples[taker] = part
            filled.add(taker)
    if words[0] in filled and (not shown or takes_words(known[words[0]][1].kind)):
        words = [word for word in words if word in filled or known[word][1].required]
    return "{" + ", ".join(f"{word}: {samples[word]}" for word in words) + "}"


def _parts(said: str) -> list[str]:
    """What stands in words for a mapping: a name and a sum, the two days of a span, or one thing."""
    if pair := _NAME_AND_SUM.fullmatch(said):
        return [part for part in pair.groups() if part]
    span = _SPAN.fullmatch(said)
    return [*span.groups()] if span else [said]


def _takers(part: str, words: Iterable[str], known: dict[str, tuple[str, Key]]) -> Iterator[str]:
    """The keys whose value a text can be: those that take no words else first, and of those that take any the one that comes first of all."""
    kinds = {word: known[word][1].kind for word in words if known[word][1].kind.part is None}
    free = [word for word, kind in kinds.items() if kind.says == "words"]
    yield from (word for word, kind in kinds.items() if word not in free and tells_a_key(kind, part))
    if not _DAY_OR_SUM.fullmatch(part):
        yield from free
