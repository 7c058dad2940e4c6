"""What must hold across files, as `verify` tells it: replacements, waivers, drafts; and what `impact` says of no change."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner
from support import BODY, clause

from rulewatch.cli import cli
from rulewatch.model.clause import digest

RIM = clause("5.1", "Rims are at most 10 in wide.", "limit: {wheels.rear.rim_width: {max: 10 in}}")
FRONT = clause("5.2", "Front rims are at most 9 in wide.", "limit: {wheels.front.rim_width: {max: 9 in}}")
CHAPTER = "rulesets/saltmarsh/2027/05-wheels.md"


@pytest.fixture
def run(put):
    """Run a command on a small workspace; gives the exit status and the output."""

    def made(
        rules: str,
        *command: str,
        waivers: str = "",
        bulletins: tuple[str, ...] = (),
        before: str = "",
        options: str = "",
        events: str = "",
        spec: str = "wheels.rear.rim_width: 9 in, wheels.front.rim_width: 9 in",
    ) -> tuple[int, str]:
        files = {
            "rulesets/saltmarsh/body.yaml": BODY,
            "rulesets/saltmarsh/2027/edition.yaml": f"title: Rules 2027\neffective: 2027-01-01\n{events}{'previous: 2026' * bool(before)}",
            CHAPTER: rules,
            "cars/heron/car.yaml": (
                f"name: Heron\nentries: [{{body: saltmarsh, class: silhouette-b{waivers and f', waivers: [{waivers}]'}}}]\n"
                f"spec: {{{spec}}}\n"
            ),
        }
        if options:
            files["cars/heron/options.yaml"] = options
        if before:
            files["rulesets/saltmarsh/2026/edition.yaml"] = "title: Rules 2026\neffective: 2026-01-01\n"
            files["rulesets/saltmarsh/2026/05-wheels.md"] = before
        for number, text in enumerate(bulletins, 1):
            files[f"rulesets/saltmarsh/2027/bulletins/{number}.md"] = text
        done = CliRunner().invoke(cli, ["-C", str(put(files)), *(command or ("verify",))])
        assert not done.exception or isinstance(done.exception, SystemExit), done.exception
        return done.exit_code, done.output

    return made


def instead(number: str, of: str, more: str = "") -> str:
    """A limit that stands in the place of another clause."""
    reading = f"{more}instead_of: ['{of}']\nlimit: {{wheels.rear.rim_width: {{max: 10 in}}}}"
    return clause(number, f"In place of {of} rims are at most 10 in wide.", reading)


@pytest.mark.parametrize(
    ("rules", "status"),
    [
        (instead("5.1", "5.1"), 2),
        (instead("5.1", "5.2") + instead("5.2", "5.1"), 2),
        (instead("5.1", "5.2", "classes: [touring-c]\n") + instead("5.2", "5.1", "classes: [touring-c]\n"), 2),
    ],
)
def test_circle_of_replacement_is_a_fault(run, rules, status):
    """Clauses that replace each other, or one itself, are pointed out at the number that closes the circle."""
    found, output = run(rules)
    assert "replacement-circle 5.1 of saltmarsh/2027 stands in place of" in output
    assert found == status


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        ("when: {engine.turbo: present}\n", "when: {engine.turbo: absent}\n", True),
        ("classes: [touring-c]\n", "classes: [silhouette-b]\n", False),
    ],
)
def test_circle_that_conditions_keep_apart(run, first, second, said):
    """Where conditions may keep clauses apart it is a warning; in different classes they never meet."""
    status, output = run(instead("5.1", "5.2", first) + instead("5.2", "5.1", second))
    assert ("replacement-circle" in output) is said
    assert "0 faults" in output
    assert status == 0


def test_instead_of_a_heading(run):
    """A number that has no limit of its own is replaced by nothing: those under it are not meant."""
    status, output = run("# 5 Wheels\n\n" + RIM + instead("5.3", "5"))
    assert "replaces-nothing `instead_of` names 5 of saltmarsh/2027, which has no limit of its own" in output
    assert status == 0
    assert "replaces-nothing" not in run(RIM + instead("5.3", "5.1"))[1]


@pytest.mark.parametrize(("subject", "said"), [("wheels.rear.rim_width", False), ("wheels.front.rim_width", True)])
def test_waiver_of_what_its_clause_does_not_say(run, subject, said):
    """A waiver on a quantity that its clause does not limit replaces nothing, and says so."""
    waiver = f"{{clause: '5.1', limit: {{{subject}: {{max: 11 in}}}}, until: 2027-06-30, paper: W-1}}"
    status, output = run(RIM + FRONT, waivers=waiver)
    assert ("replaces-nothing a waiver of heron limits wheels.front.rim_width" in output) is said
    assert status == 0


@pytest.mark.parametrize(
    ("of", "until", "said"),
    [
        ("5.1', season: '2026", "2027-12-31", True),
        ("5.1", "2027-12-31", True),
        ("5.1", "2026-12-31", False),  # it is over before the rule gets another number
        ("5.2", "2027-12-31", False),  # the number that the rule has now
        ("5.2', season: '2027", "2027-12-31", False),
    ],
)
def test_waiver_of_a_rule_that_has_another_number_now(run, of, until, said):
    """A paper does not go with its rule to another number, so it counts for nothing there; the crew is told."""
    now = FRONT.replace("5.2", "5.1") + RIM.replace("5.1", "5.2")
    waiver = f"{{clause: '{of}', limit: {{wheels.rear.rim_width: {{max: 11 in}}}}, until: {until}, paper: W-1}}"
    status, output = run(now, waivers=waiver, before=RIM + FRONT)
    found = "replaces-nothing a waiver of heron names 5.1, which is 5.2 in saltmarsh/2027: it counts for nothing there"
    assert (found in output) is said
    assert status == 0


def bulletin(number: str, clauses: str, *, status: str = "draft") -> str:
    """A bulletin."""
    return f"---\nnumber: {number}\npublished: 2027-03-01\neffective: 2027-04-01\nstatus: {status}\n---\n\n{clauses}"


def test_draft_is_open_and_never_merged(run):
    """A draft is told as open; nothing is judged by it but what it would do, which is marked as that."""
    narrow = RIM.replace("10 in", "8 in")
    status, output = run(RIM, bulletins=(bulletin("1", narrow),))
    assert "draft bulletin 1 of saltmarsh/2027 is a draft for 2027-04-01, and counts for nothing yet" in output
    assert "0 faults, 0 warnings" in output
    assert status == 0
    _, output = run(RIM, "impact", "--json", before=RIM, bulletins=(bulletin("1", narrow),))
    assert [(one["draft"], one["outcome"], one["on"]) for one in json.loads(output)["impacts"]] == [(True, "breach", None)]
    status, output = run(RIM, "impact", "--fail-on", "breach", before=RIM, bulletins=(bulletin("1", narrow),))
    assert status == 0
    assert "  If draft bulletin 1 came, from 1 April 2027\n\n  BREACH (also read)  5.1" in output


def test_draft_is_checked_as_if_it_were_applied(run):
    """What a draft would break is found before it is issued."""
    assert "bulletin-clause-missing" in run(RIM, bulletins=(bulletin("1", "## 5.1.9.9 repeal\n"),))[1]
    status, output = run(RIM, bulletins=(bulletin("1", instead("5.1", "5.9")),))
    assert "`instead_of` names 5.9" in output
    assert status == 2


def test_draft_has_a_number_of_its_own(run):
    """A draft and a final bulletin of one number are a fault."""
    final, draft = bulletin("1", RIM, status="final"), bulletin("1", RIM)
    status, output = run(RIM, bulletins=(final, draft))
    assert "wrong-value bulletin `1` again, as in rulesets/saltmarsh/2027/bulletins/1.md" in output
    assert status == 2


def test_no_change_is_told_from_no_entry(run):
    """A book without a change says so, with its seasons; a season without another to compare says that."""
    assert "No clause changed, and no car's standing did: saltmarsh/2026 → saltmarsh/2027." in run(RIM, "impact", before=RIM)[1]
    assert "No entry, or nothing to compare" in run(RIM, "impact")[1]


def test_an_option_leaves_alone_what_is_fixed(run):
    """An option on what cannot be altered is a fault at the option; on anything else it is none."""
    options = "options:\n  rims: {what: Rims, alter: {wheels.rear.rim_width: 10 in}}\n"
    assert run(RIM + FRONT, options=options)[0] != 2
    fixed = "wheels.rear.rim_width: {value: 9 in, fixed: true}, wheels.front.rim_width: 9 in"
    status, said = run(RIM + FRONT, options=options, spec=fixed)
    assert status == 2
    assert "options.yaml:2:30: wrong-value the option `rims` alters wheels.rear.rim_width, which heron states as fixed" in said


def test_draft_for_one_event_is_told_for_that_event(run):
    """It would count there alone, and stands apart like every draft."""
    days = (("spring", "Spring meeting", "2027-04-10"), ("autumn", "Autumn meeting", "2027-10-02"))
    events = "events:\n" + "".join(f"  - {{id: {name}, title: {title}, on: {day}}}\n" for name, title, day in days)
    draft = bulletin("1", RIM.replace("10 in", "8 in")).replace("status: draft\n", "status: draft\nevents: [autumn]\n")
    _, output = run(RIM, "impact", before=RIM, bulletins=(draft,), events=events)
    assert "If draft bulletin 1 came, from 1 April 2027" in output
    assert "BREACH" in output


def test_class_that_is_gone_is_the_news_of_the_winter(run):
    """The car has nowhere to run: a breach of the new season, and an open point."""
    gone = "classes: [touring-c]\n"
    status, output = run(RIM, "verify", "--strict", before=RIM, events=gone)
    assert "class-gone heron is entered in `silhouette-b`, which is no class of saltmarsh/2027 any more" in output
    assert status == 1
    status, output = run(RIM, "impact", "--fail-on", "breach", before=RIM, events=gone)
    assert "silhouette-b is no class of 2027 any more" in output
    assert status == 1


def test_two_points_are_of_one_body_and_jobs_of_what_comes(run):
    """Anything else is refused before anything is written."""
    points = ("--from", "saltmarsh/2027", "--to", "saltmarsh/2026")
    assert run(RIM, "impact", *points, before=RIM)[0] == 0
    status, output = run(RIM, "impact", *points, "--keep", before=RIM)
    assert (status, "saltmarsh/2026 is older than saltmarsh/2027" in output) == (2, True)
    status, output = run(RIM, "impact", "--from", "saltmarsh/2026", "--to", "five-lakes/2027", "--keep", before=RIM)
    assert (status, "not of one body" in output) == (2, True)


def test_a_reading_of_an_older_text_says_which_numbers_moved(run):
    """The open point names what the clause says no longer, and what it says instead."""
    old = "limit: {wheels.rear.rim_width: {max: 10 in}}\nconfirmed: {by: ina, on: 2026-11-20, text: 00000000}"
    code, output = run(clause("5.1", "Rims are at most 11 in wide.", old))
    told = "the reading of 5.1 of saltmarsh/2027 was confirmed against another text: the clause no longer says `10 in` and now says `11 in`; "
    assert code == 0
    assert told in output
    code, output = run(clause("5.1", "Rims are no more than 10 in wide.", old))
    assert "was confirmed against another text; check it" in output


def test_what_the_changed_text_suggests_is_named_beside_the_open_reading(run):
    """The number that moved, from the season before to this one; nothing is changed by that."""
    before = clause("5.1", "Rims are at most 10 in wide.", "limit: {wheels.rear.rim_width: {max: 10 in}}")
    confirmed = f"confirmed: {{by: ina, on: 2026-11-20, text: {digest('Rims are at most 10 in wide.')}}}"
    now = clause("5.1", "Rims are at most 11 in wide.", f"limit: {{wheels.rear.rim_width: {{max: 10 in}}}}\n{confirmed}")
    code, output = run(now, before=before)
    assert code == 0
    assert "now says `11 in`; `10 in → 11 in` is proposed: check it with `rulewatch confirm`" in output
