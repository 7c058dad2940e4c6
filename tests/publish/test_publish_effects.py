"""Effects alone and inside the whole book, what masks them, and cars that show them: in words and on pages."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from publish_example import CARS, CHANGES, COMPARISON, NEW, OLD, PLACE, SITE, at_most, inch, kg, reading
from publish_pages import pages_of

from rulewatch.model.car import Stated
from rulewatch.model.change import Change, ClassEffect, Effect, Kind, Mark, Witness
from rulewatch.publish.effect_words import effect_groups, group_words, showing_words, showings, whole_groups, whole_words
from rulewatch.publish.reading_words import NOTHING, reread_words
from rulewatch.publish.site import site_files
from rulewatch.publish.wording import body_lines, marked_words

RIM, WING = "wheels.rear.rim_width", "aero.rear_wing"
CLASSES = ("silhouette-b", "silhouette-a", "open-saloon")
PAGE = "compare/saltmarsh-2026-2027.html"


def witness(*, gained: bool, car: str = "", in_book: bool = True, **parts: object) -> Witness:
    """A car with a rim of 10.25 in."""
    given = {"values": {RIM: inch("10.25")}, "differs": (RIM,), "says": f"a car like {car} with rear rim width 10.25 in"}
    return Witness(gained=gained, alone=True, in_book=in_book, car=car, **{**given, **parts})  # type: ignore[arg-type]


def found(id_: str) -> Change:
    """The change that leads to a clause."""
    return next(each for each in CHANGES if each.key == id_)


RIMS = replace(
    found("5.1.2"),
    in_book={"silhouette-b": Effect.SAME, "silhouette-a": Effect.TIGHTENED, "open-saloon": Effect.SAME},
    masked_by={"silhouette-b": ("5.3", "6.4")},
    witness={
        "silhouette-b": (witness(gained=False, car="curlew", in_book=False),),
        "silhouette-a": (
            witness(gained=False, car="plover", differs=(), supposed=(RIM,), says="a car like plover, supposing 10.25 in,"),
            witness(gained=False, car="plover", in_book=False),
        ),
    },
)
WHOLE = {
    "silhouette-b": ClassEffect(effect=Effect.TIGHTENED, witnesses=(witness(gained=False, car="curlew"),), unread=("6.3",)),
    "silhouette-a": ClassEffect(effect=Effect.TIGHTENED, unread=("6.3",)),
    "open-saloon": ClassEffect(effect=Effect.SAME),
}


@pytest.fixture(scope="module")
def changed_site() -> dict[str, bytes]:
    """The example with what logic adds to a change of rims, on a site whose Curlew has 10 in at the rear."""
    curlew = replace(CARS[0], spec={RIM: Stated(subject=RIM, place=PLACE, values=(inch("10"), inch("9.5")))})
    changes = tuple(RIMS if each.key == "5.1.2" else each for each in CHANGES)
    comparison = replace(COMPARISON, changes=changes, classes=WHOLE)
    reports = tuple(replace(each, comparison=comparison) for each in SITE.impacts)
    return site_files(replace(SITE, comparisons=(comparison,), cars=(curlew, *CARS[1:]), impacts=reports))


def text_of(html: bytes) -> str:
    """A page as it is read: without tags, blanks folded."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", html.decode()))


def article(files: dict[str, bytes], page: str, anchor: str) -> str:
    """The HTML of one change or clause."""
    return files[page].decode().partition(f'id="{anchor}"')[2].partition("</article>")[0]


# --- In words ---------------------------------------------------------------------------------------------------------


def test_what_moved_comes_first_and_alone_beside_the_whole_book():
    """Classes with the same answer together; the whole book is named only where it answers otherwise."""
    assert [group_words(group, CLASSES) for group in effect_groups(RIMS, reasons=False)] == [
        "tightened for silhouette-b, but same in the whole book: masked by 5.3 and 6.4",
        "tightened for silhouette-a",
        "same for open-saloon",
    ]
    every = replace(RIMS, effects=dict.fromkeys(CLASSES, Effect.UNREAD), why=dict.fromkeys(CLASSES, "5.1.2 has no reading"))
    alike = replace(every, in_book={}, masked_by={})
    assert [group_words(group, CLASSES) for group in effect_groups(alike, reasons=False)] == [
        "unread for every class: 5.1.2 has no reading"
    ]


def test_one_car_for_each_way_and_car_of_the_crew():
    """A car that shows the whole book goes before one of the clause alone, which says what it is; classes stand behind."""
    assert [showing_words(one, CLASSES) for one in showings(RIMS.witness, CLASSES)] == [
        "a car like curlew with rear rim width 10.25 in was legal and is not, by this clause alone (silhouette-b)",
        "a car like plover, supposing 10.25 in, was legal and is not (silhouette-a)",
    ]


def test_a_car_like_none_of_the_crew_stands_back():
    """It is shown only where no car of the crew shows the same way, and then once."""
    strange = witness(gained=False, says="a car with rear rim width 10.25 in")
    gained = witness(gained=True, says="a car with rear rim width 9 in")
    both = {"silhouette-b": (strange, gained), "silhouette-a": (witness(gained=False, car="plover"), gained)}
    assert [showing_words(one, ("silhouette-a",)) for one in showings(both, both)] == [
        "a car like plover with rear rim width 10.25 in was legal and is not",
        "a car with rear rim width 9 in was not legal and is",
    ]


def test_a_class_as_a_whole_names_what_is_left_out():
    """An effect over all changes is only as good as what has been read."""
    assert [whole_words(group, CLASSES) for group in whole_groups(replace(COMPARISON, classes=WHOLE))] == [
        "tightened for silhouette-b and silhouette-a; left out, as no confirmed reading covers it: 6.3",
        "same for open-saloon",
    ]


def test_tables_are_read_row_by_row():
    """The lines of a clause with a table, and a changed cell in its row."""
    rims = found("5.1.2").new[0]
    assert body_lines(rims) == ("tyre · rim", "225 · 8 in", "245 · 10 in")
    words = ((Mark.KEEP, "Rear rims A rim. | tyre | rim | | --- | --- | | 245 | "), (Mark.ADD, "10 in"), (Mark.KEEP, " |"))
    change = replace(found("5.1.2"), kinds=(Kind.SUBSTITUTION,), words=words)
    assert "".join(text for _, text in marked_words(change)).splitlines()[-1] == "245 · 10 in"


# --- On pages ---------------------------------------------------------------------------------------------------------


def test_page_gives_both_answers_with_links_to_what_masks(changed_site):
    """The clause alone, the whole book, and the masking clauses: one as it stands now, a repealed one in the old book."""
    html = article(changed_site, PAGE, "c-5_1_2")
    assert "Alone, for Silhouette B: the most allowed fell from 10.5 in to 10 in. In the whole book" in text_of(html.encode())
    masks = html.partition("masked by")[2].partition("</span>")[0]
    assert re.findall('href="([^"]*)"', masks) == [
        "../rules/saltmarsh/2027/05-wheels.html#c-5_3",
        "../rules/saltmarsh/2026/06-aerodynamics.html#c-6_4",
    ]


def test_page_shows_cars_beside_what_the_crews_own_has(changed_site):
    """The car by its name, with a link, and its own values in brackets; what it does not state is supposed."""
    text = text_of(article(changed_site, PAGE, "c-5_1_2").encode())
    assert (
        "A car like Curlew with rear rim width 10.25 in (it has 10 in and 9.5 in) was legal and is not, by this clause" in text
    )
    assert "A car like Plover, supposing rear rim width 10.25 in, was legal and is not." in text
    assert '<a href="../cars/curlew.html">Curlew</a>' in article(changed_site, PAGE, "c-5_1_2")


def test_page_begins_with_what_all_changes_do_together(changed_site):
    """For each class more or less than before, what is left out, and which changes do otherwise than alone."""
    text = text_of(changed_site[PAGE]).partition("Weights")[0]
    assert "tightened for Silhouette B and Silhouette A: some cars that were allowed no longer are" in text
    assert "Left out, as no confirmed reading covers it: 6.3." in text
    assert "Different inside the whole book 5.1.2 Tightened alone for Silhouette B. In the whole book same, masked" in text


def test_chapter_and_history_say_it_too(changed_site):
    """Beside the clause as it stands, without the cars; a clause whose classes all stayed the same says nothing."""
    text = text_of(article(changed_site, "rules/saltmarsh/2027/05-wheels.html", "c-5_1_2").encode())
    assert "Since 2026 tightened Alone, for Silhouette B" in text
    assert "Since 2026" not in text_of(article(changed_site, "rules/saltmarsh/2027/03-weights.html", "c-3_2-a").encode())


def test_what_is_read_otherwise_is_said_in_sentences_and_once():
    """The sentences that went and came stand under the clause; a clause that is also touched is not listed twice."""
    test = at_most(RIM, inch("11"))
    old = replace(OLD, readings={**OLD.readings, "8.2": (reading("8.2", None, limits=(at_most(RIM, inch("10.5")),)),)})
    new = replace(NEW, readings={**NEW.readings, "8.2": (reading("8.2", None, limits=(test,)),)})
    reread = replace(CHANGES[-1], touched_by=found("6.1").touched_by)
    comparison = replace(COMPARISON, old=old, new=new, changes=(*CHANGES[:-1], reread))
    files = site_files(replace(SITE, comparisons=(comparison,), impacts=()))
    text = text_of(files[PAGE])
    assert text.count("Read before") == 1
    assert "Read beforeRear rim width must be at most 10.5 in.Read nowRear rim width must be at most 11 in." in text
    ids = pages_of(files)[PAGE].ids
    assert len(ids) == len(set(ids))
    assert reread_words(reread, old, replace(new, readings=NEW.readings), SITE.vocabulary)[1] == NOTHING
    assert reread_words(reread, OLD, NEW, SITE.vocabulary) == ("", "limits.wheels.rear.rim_width: 10 in → 254 mm")


def test_many_things_are_counted(changed_site):
    """Of a car that differs in much the first four are told; the data has them all."""
    names = [f"wheels.part{number}" for number in range(6)]
    one = witness(
        gained=True, car="curlew", values=dict.fromkeys(names, kg("1")), differs=tuple(names), supposed=tuple(names[:5])
    )
    change = replace(
        RIMS, effects={"silhouette-b": Effect.LOOSENED}, in_book={}, masked_by={}, witness={"silhouette-b": (one,)}
    )
    changes = tuple(change if each.key == "5.1.2" else each for each in CHANGES)
    files = site_files(replace(SITE, comparisons=(replace(COMPARISON, changes=changes),), impacts=()))
    text = text_of(article(files, PAGE, "c-5_1_2").encode())
    assert text.count("1 kg") == 4
    assert "and 2 more, supposing 5 values that it does not state, was not legal and is." in text
