"""What the showroom shows, and in which order."""

from datetime import date
from decimal import Decimal

import pytest
from showroom_shop import ASSETS, FILES, HERON, TODAY, read, site, site_of

from purfle.events import stream
from purfle.notes.model import Shop
from purfle.progress import progress_of
from purfle.show.publication import wanted_pictures
from purfle.views.finish import lacquer_of
from purfle.views.public import Lacquer


def _heron(files: dict[str, str] | None = None, today: date = date(2026, 5, 20)):
    return next(build for build in site(files, today).view.builds if build.title == "Heron")


def _wanted(shop: Shop, today: date) -> tuple[str, ...]:
    progress, _ = progress_of(shop, stream(shop, today), today)
    return wanted_pictures(shop, progress, today)


def test_only_public_builds_are_there() -> None:
    assert [build.title for build in site().view.builds] == ["Heron", "Wren"]


@pytest.mark.parametrize(
    ("showroom", "shown"), [("no", False), ("yes", True), ("from 2026-05-20", True), ("from 2026-05-21", False), ("after delivery", False)]
)
def test_a_build_appears_when_its_sheet_says(showroom: str, shown: bool) -> None:
    view = site({"builds/wren/build.md": f"---\ntitle: Wren\nshowroom: {showroom}\n---\n"}).view
    assert ("Wren" in [b.title for b in view.builds]) is shown


def test_a_customers_instrument_is_shown_with_consent_only() -> None:
    sheet = "---\ntitle: Wren\nkind: commission\nshowroom: yes\ncommission: {{customer: Ada Nook, consent: {{show: {0}, credit_as: A. of the hill}}}}\n---\n"
    assert not [b for b in site({"builds/wren/build.md": sheet.format("no")}).view.builds if b.title == "Wren"]
    wren = next(b for b in site({"builds/wren/build.md": sheet.format("yes")}).view.builds if b.title == "Wren")
    assert [c.name for c in wren.credits] == ["A. of the hill"]


def test_the_log_is_in_date_order_with_its_stages() -> None:
    assert [(e.anchor, e.stages) for e in _heron().log] == [("log-2026-02-01", ("strip",)), ("log-2026-02-03", ("colour",))]


def test_two_notes_of_a_day_are_ordered_by_what_is_public() -> None:
    texts = {"a": "---\nstage: colour\n---\nSecond.\n", "b": "---\nstage: strip\n---\nFirst.\n"}
    for names in (("a", "b"), ("b", "a")):
        files = {f"builds/heron/2026-02-07-{name}.md": texts[key] for name, key in zip(("one", "two"), names, strict=True)}
        assert [(e.anchor, e.text.plain) for e in _heron(files).log[-2:]] == [("log-2026-02-07", "First."), ("log-2026-02-07-2", "Second.")]


def test_parts_of_one_journal_day_stay_in_the_order_they_were_written_in() -> None:
    told = "## Heron\nstage: strip\n\nZinc came off.\n\n## Heron\nstage: colour\n\nAmber went on.\n"
    files = {"journal/2026-02-07.md": told, "builds/heron/2026-02-07.md": "---\nstage: polish\n---\nLast of all.\n"}
    assert [e.text.plain for e in _heron(files).log[-3:]] == ["Zinc came off.", "Amber went on.", "Last of all."]


def test_a_part_of_a_journal_day_is_a_note_of_its_build() -> None:
    wren = next(b for b in site().view.builds if b.title == "Wren")
    assert [e.text.plain for e in wren.log] == ["Found a crack in Wren."]


def test_a_line_about_another_build_puts_no_stage_on_this_ones_page() -> None:
    """Plover is private, and so is what is done to it and to the shop itself."""
    lines = "bench: [{stage: strip, hours: 1}, {build: plover, stage: clear, hours: 1}, {for: shop, stage: mask, hours: 1}]"
    notes = {"builds/heron/2026-02-20.md": f"---\n{lines}\n---\nPut more on.\n", "journal/2026-02-21.md": f"---\nbuild: heron\n{lines}\n---\nAnd more.\n"}
    view = next(build for build in site(notes).view.builds if build.title == "Heron")
    assert {entry.day.day: entry.stages for entry in view.log if entry.day.day >= 20} == {20: ("strip",), 21: ("strip",)}


def test_a_part_without_a_stage_has_those_that_the_days_lines_give_its_build() -> None:
    day = "---\nbench: [{build: heron, stage: clear, hours: 1}, {build: plover, stage: strip, hours: 1}]\n---\n\n# Heron\n\nIt shines.\n\n# Wren\nstage: strip\n\nGone.\n"
    builds = {build.title: build for build in site({"journal/2026-03-09.md": day}).view.builds}
    stages = {title: [entry.stages for entry in build.log if entry.day == date(2026, 3, 9)] for title, build in builds.items()}
    assert stages == {"Heron": [("clear",)], "Wren": [("strip",)]}


def test_progress_is_stages_finished_of_stages() -> None:
    assert (_heron().stages_finished, _heron().stages) == (1, 4)


def test_the_price_is_there_while_for_sale_only() -> None:
    offer = _heron().offer
    assert offer is not None and (offer.asking, offer.enquire) == (Decimal(950), "mailto:bench@example.org?subject=Heron")
    sold = HERON.replace("showroom: yes", "sale: {date: 2026-05-10, price: 901.07}\nshowroom: yes")
    assert _heron({"builds/heron/build.md": sold}).offer is None


def test_credits_need_consent_and_serials_leave() -> None:
    assert [(c.name, c.done) for c in _heron().credits] == [("Mirel", "slide playing")]
    assert _heron().serial == ""
    assert _heron({"builds/heron/build.md": HERON.replace("serial:", "serial_public: yes\nserial:")}).serial == "AX10417"


def test_an_episode_keeps_segments_of_public_builds() -> None:
    (episode,) = site().view.episodes
    assert [(s.build.title, s.stage) for s in episode.segments] == [("Heron", "colour")]
    assert [(d.what, d.how) for d in episode.disclosures] == [("pickups in heron", "gifted")]
    assert _heron().episodes[0].path == "episodes/2026-04-03.html"


def test_coming_up_is_what_public_episodes_promised_of_public_builds() -> None:
    assert [(c.build.title, c.do, c.episode.title) for c in site().view.coming_up if c.build] == [("Wren", "colour", "Two blues")]


def test_an_episode_appears_on_its_day() -> None:
    assert not site(today=date(2026, 4, 2)).view.episodes


def test_bulletins_of_private_builds_are_left_out() -> None:
    assert [b.text.plain for b in site().view.bulletins] == ["Heron is brown now."]


@pytest.mark.parametrize(("day", "words"), [("2026-05-20", ["Of today."]), ("2026-05-21", [])])
def test_what_is_dated_after_today_waits(day: str, words: list[str]) -> None:
    view = site({f"journal/bulletins/{day}.md": "---\nshowroom: yes\n---\nOf today.\n", f"builds/heron/{day}.md": "---\nstage: clear\n---\nOf today.\n"}).view
    assert [b.text.plain for b in view.bulletins if "today" in b.text.plain] == words
    assert [e.text.plain for b in view.builds for e in b.log if "today" in e.text.plain] == words


@pytest.mark.parametrize(("keys", "words"), [("", "Said."), ("showroom: yes\n", "  \n")])
def test_a_bulletin_that_is_kept_private_or_says_nothing_is_not_there(keys: str, words: str) -> None:
    files = {"journal/bulletins/2026-05-01.md": f"---\nwhere: photo feed\n{keys}---\n{words}\n"}
    assert [b.day for b in site(files).view.bulletins] == [date(2026, 4, 5)]


def test_only_pictures_that_public_text_names_are_wanted() -> None:
    names = ("photos/bare.jpg", "photos/before.jpg", "photos/front.jpg", "take.ogg")
    assert _wanted(read(), TODAY) == tuple(f"builds/heron/{name}" for name in names)


EPISODE = "---\ntitle: Two blues\nshowroom: {shown}\nstill: stills/two.jpg\n---\nWe talked about blue.\n"
STILL = "journal/episodes/stills/two.jpg"


@pytest.mark.parametrize(("shown", "day", "wanted"), [("yes", date(2026, 4, 3), True), ("yes", date(2026, 4, 2), False), ("no", date(2026, 5, 20), False)])
def test_the_still_of_an_episode_is_published_when_the_episode_is(shown: str, day: date, wanted: bool) -> None:
    shop = read({"journal/episodes/2026-04-03-two.md": EPISODE.format(shown=shown)}, ASSETS | {STILL}, day)
    assert (STILL in _wanted(shop, day)) is wanted
    assert [e.still.alt for e in site_of(shop, day).view.episodes if e.still] == (["A still from Two blues"] if wanted else [])


def test_an_episode_without_a_still_shows_none() -> None:
    shop = read({"journal/episodes/2026-04-03-two.md": EPISODE.format(shown="yes").replace("still: stills/two.jpg\n", "")}, ASSETS | {STILL})
    assert STILL not in _wanted(shop, TODAY)
    assert [e.still for e in site_of(shop).view.episodes] == [None]


def test_of_two_texts_of_a_day_the_file_names_do_not_decide_which_one_gives_a_cover_its_words() -> None:
    """File names are private: the words of either text stand, and the same ones when the two files change names."""
    texts = [f"---\nstage: {stage}\nhours: 1\n---\n{words} ![{words}](photos/front.jpg)\n" for stage, words in (("strip", "Bare wood"), ("strip", "All clean"))]
    sheet = {"builds/heron/build.md": HERON.partition("\n---\n")[0] + "\n---\nA bass.\n"}

    def words(first: str, second: str) -> str:
        cover = _heron({**sheet, "builds/heron/2026-02-01-a.md": first, "builds/heron/2026-02-01-b.md": second}).cover
        assert cover is not None
        return cover.alt

    assert words(*texts) == words(*reversed(texts)) == "All clean", "the log has them by their words"


def test_alt_text_of_a_cover_comes_from_the_text_that_shows_it() -> None:
    cover, found = _heron().cover, _heron().as_found
    assert cover is not None and cover.alt == "The front of a brown bass"
    assert found is not None and found.alt == "Heron as found"


def test_for_sale_hangs_first() -> None:
    assert [b.state for b in site().view.builds] == ["for sale", "in the works"]


@pytest.mark.parametrize(
    ("finish", "chip"),
    [
        ("umber burst", Lacquer("#d59a3f", "#6b3f1f")),
        ("sea green", Lacquer("#2f6244", "#2f6244")),
        ("weathered blue-green", Lacquer("#5da294", "#5da294")),
        ("as it was", None),
    ],
)
def test_the_chip_of_a_finish(finish: str, chip: Lacquer | None) -> None:
    assert lacquer_of(finish) == chip


def test_specs_show_both_units() -> None:
    lines = {line.name: line.value for line in _heron().specs}
    # 1 inch is exactly 25.4 mm (international inch): 34 in = 863.6 mm.
    assert lines["Scale length"] == "34\u00a0in (864\u00a0mm)"  # U+00A0: a figure and its unit stay on one line
    assert lines["Board radius"].replace("\u00a0", " ") == "10 in (254 mm) to 14 in (356 mm)"


def test_a_later_note_waits_for_its_day() -> None:
    late = {"builds/heron/2026-05-21.md": FILES["builds/heron/2026-02-03.md"]}
    assert _heron(late).log == _heron().log
