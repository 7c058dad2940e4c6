"""`rulewatch timeline --car` on a small real repository: what was altered, what that answers, who is named, what is stale."""

from __future__ import annotations

import json

import jsonschema
import pytest
from click.testing import CliRunner
from support import BODY, clause

from rulewatch.cli import cli
from rulewatch.model.clause import digest
from rulewatch.publish.data import schema_bytes

WIDTH = "wheels.rear.rim_width"
RIM_WORDS = "Rear rims shall be no wider than {} in."


def rule(number: str, text: str, reading: str) -> str:
    """A clause whose reading is confirmed."""
    return clause(number, text, f"{reading}\nconfirmed: {{by: ina, on: 2025-01-01, text: {digest(text)}}}")


def book(season: str, published: str, rims: str, limits: tuple[int, int], previous: str = "") -> dict[str, str]:
    """One season of the club's."""
    folder, (width, splitter) = f"rulesets/saltmarsh/{season}", limits
    before = f"previous: {previous}\n" if previous else ""
    return {
        f"{folder}/edition.yaml": f"title: '{season}'\npublished: {published}\neffective: {season}-01-01\n{before}",
        f"{folder}/1.md": rule(rims, RIM_WORDS.format(width), f"limit: {{{WIDTH}: {{max: {width} in}}}}")
        + rule(
            "9",
            f"A splitter may project by up to {splitter} mm.",
            f"limit: {{aero.splitter.projection: {{max: {splitter} mm}}}}",
        ),
    }


RULES = {
    "rulesets/saltmarsh/body.yaml": BODY,
    **book("2026", "2025-11-01", "6.2", (11, 50)),
    **book("2027", "2026-11-01", "6.3", (10, 75), previous="2026"),
}


def car(rim: str, splitter: str = "50 mm", weight: str = "{value: 1010 kg, on: 2026-03-01}") -> str:
    """The car with its rims, splitter and weight; the order of lines is turned each time."""
    return (
        "name: Marram\nentries: [{body: saltmarsh, class: silhouette-b}]\nspec:\n"
        f"  {WIDTH}: {rim}\n  aero.splitter.projection: {splitter}\n  car.weight: {weight}\n"
    )


JOBS = """\
- id: rims
  what: Narrower rims
  cause: saltmarsh/2027 6.3 wheels.rear.rim_width
  by: tobin
  alters: wheels.rear
  done: {on: 2026-11-18, by: [ines]}
- {what: New pads, alters: brakes, done: 2026-05-05}
- {what: Not done yet, alters: engine}
"""


@pytest.fixture
def run(monkeypatch):
    """Run the command in this process."""

    def made(root, *args: str, status: int = 0) -> str:
        monkeypatch.setenv("COLUMNS", "100")
        done = CliRunner().invoke(cli, ["-C", str(root), "timeline", *args])
        assert done.exit_code == status, done.output
        return done.output

    return made


@pytest.fixture
def garage(put, run_git, monkeypatch):
    """A car through two winters, in a folder below the repository's top: committed at fixed days by Uwe Unsaid."""
    run_git("init", "-q", "-b", "main")
    monkeypatch.setenv("GIT_AUTHOR_NAME", "Uwe Unsaid")

    def commit(day: str, files: dict[str, str]):
        monkeypatch.setenv("GIT_AUTHOR_DATE", f"{day}T23:30:00+02:00")
        root = put({f"race crew/{name}": text for name, text in files.items()}) / "race crew"
        run_git("add", ".")
        run_git("commit", "-qm", "x")
        return root

    file = "cars/marram/car.yaml"
    commit("2026-01-05", {**RULES, file: car("10.5 in")})
    commit("2026-02-06", {file: "# The same in millimetres.\n" + car("266.7 mm")})  # 10.5 in
    commit("2026-03-07", {file: car("10.5 in", weight="{value: 1010 kg, on: 2026-03-06}")})
    commit("2026-11-20", {file: car("9.5 in", weight="{value: 1010 kg, on: 2026-03-06}"), "cars/marram/jobs.yaml": JOBS})
    return commit("2026-11-25", {file: car("9.5 in", "70 mm", "{value: 1015 kg, on: 2026-03-06}")})


def test_alterations_are_told_with_the_change_that_each_answers(run, garage):
    """A breach that was cured, an opening taken up; the same length in millimetres is nothing, a new weighing alters nothing."""
    data = json.loads(run(garage, "--car", "marram", "--json"))
    jsonschema.validate(data, json.loads(schema_bytes("history.schema.json")))
    told = [(one["day"], one["subjects"], one["old"], one["new"], one["kind"]) for one in data["alterations"]]
    assert told == [
        ("2026-03-07", ["car.weight"], "1010 kg", "1010 kg", "measured"),
        ("2026-05-05", ["brakes"], None, None, "altered"),
        ("2026-11-20", [WIDTH], "10.5 in", "9.5 in", "altered"),
        ("2026-11-25", ["aero.splitter.projection"], "50 mm", "70 mm", "altered"),
        ("2026-11-25", ["car.weight"], "1010 kg", "1015 kg", "altered"),
    ]
    answers = [
        (answer["season"], answer["clauses"], answer["opening"], answer["said"])
        for one in data["alterations"]
        for answer in one["answers"]
    ]
    assert answers == [("2027", ["6.3"], False, False), ("2027", ["9"], True, False)]
    rims = data["alterations"][2]
    assert rims["job"] == {"id": "rims", "what": "Narrower rims", "done": "2026-11-18", "by": ["ines"]}
    assert [(one["day"], one["season"]) for one in data["rules"]] == [("2026-11-01", "2027")]
    assert data["first"]["on"] == "2026-01-05"


def test_the_text_reads_by_day_and_names_nobody_who_committed(run, garage, run_git):
    """Names come from git with --recorded alone; the rest is the same."""
    text = run(garage, "--car", "marram")
    folded = " ".join(text.split())
    for line in (
        "2026-11-01 saltmarsh/2027: rule book published, in force from 2027-01-01",
        "2026-11-20 Rear rim width: 10.5 in → 9.5 in",
        "answers saltmarsh/2027 6.3 for silhouette-b: illegal by it until then: Rear rim width: 10.5 in, must be at most 10 in",
        "answers saltmarsh/2027 9 for silhouette-b: takes up what it allowed; before:",
        "job rims: Narrower rims, done on 2026-11-18 by ines",
        "2026-03-07 Weight of the car: measured again, 1010 kg",
    ):
        assert line in folded, line
    assert text.index("2026-11-01") < text.index("2026-11-20") < text.index("2026-11-25")
    assert "Uwe" not in text
    named = run(garage, "--car", "marram", "--recorded")
    assert f"commit {run_git('rev-parse', 'HEAD')[:10]} by Uwe Unsaid" in named
    data = run(garage, "--car", "marram", "--json")
    assert "Uwe" not in data
    assert json.loads(run(garage, "--car", "marram", "--json", "--recorded"))["first"]["by"] == "Uwe Unsaid"


def test_a_value_that_changed_under_an_old_day_may_be_stale(run, garage, put):
    """It says what to write; written so, verdicts count it, and a measurement after it takes it off the list."""
    text = " ".join(run(garage, "--car", "marram").split())
    assert "stale? Weight of the car: measured on 2026-03-06; the value was altered in the commit of 2026-11-25" in text
    assert "`alters: car.weight` and the day as `done`" in text

    def stale(files: dict[str, str]) -> list[tuple[str, bool]]:
        put({f"race crew/{name}": content for name, content in files.items()})
        data = json.loads(run(garage, "--car", "marram", "--json"))
        return [(one["subject"], one["counted"]) for one in data["stale"]]

    work = JOBS + "- {what: Ballast, alters: car.weight, done: 2026-11-24}\n"
    assert stale({"cars/marram/jobs.yaml": work}) == [("car.weight", True)]
    assert stale({"cars/marram/jobs.yaml": work.replace("2026-11-24", "yes")}) == [("car.weight", False)]
    fresh = car("9.5 in", "70 mm", "{value: 1015 kg, on: 2026-11-25}")
    assert stale({"cars/marram/jobs.yaml": work, "cars/marram/car.yaml": fresh}) == []


def test_a_stale_value_is_a_measurement_to_make_everywhere(put):
    """`impact` calls it measure, `verify` lists it open with both days, and measured again it is legal."""
    work = "- {what: Rims, id: rims, alters: wheels, done: 2026-11-18}\n"

    def told(on: str):
        spec = car(f"{{value: 9.5 in, on: {on}}}")
        root = put({**RULES, "cars/marram/car.yaml": spec, "cars/marram/jobs.yaml": work})
        impact, verify = (
            json.loads(CliRunner().invoke(cli, ["-C", str(root), name, "--json"]).stdout) for name in ("impact", "verify")
        )
        outcomes = {one["subject"]: one["outcome"] for one in impact["impacts"]}
        return outcomes[WIDTH], [one["found"] for one in verify["open"] if one["code"] == "unmeasured"]

    assert told("2026-11-17") == (
        "measure",
        [f"{WIDTH} of marram was measured on 2026-11-17, and altered on 2026-11-18 (job rims) (asked by 6.3)"],
    )
    assert told("2026-11-18") == ("tighter", [])


def test_what_is_not_committed_comes_last(run, garage, put):
    """It has no day and no commit yet, and is judged by the newest book."""
    put({"race crew/cars/marram/car.yaml": car("10.2 in", "70 mm", "{value: 1015 kg, on: 2026-03-06}")})
    last = json.loads(run(garage, "--car", "marram", "--json"))["alterations"][-1]
    assert (last["day"], last["recorded"], last["old"], last["new"]) == (None, None, "9.5 in", "10.2 in")
    assert last["answers"] == []
    assert "not committed Rear rim width: 9.5 in → 10.2 in" in " ".join(run(garage, "--car", "marram").split())


def test_without_git_the_job_list_tells_what_it_knows(run, put):
    """A line says so; the cause that a job names stands as its own word."""
    root = put({**RULES, "cars/marram/car.yaml": car("9.5 in"), "cars/marram/jobs.yaml": JOBS})
    text = " ".join(run(root, "--car", "marram").split())
    assert "git knows nothing of this car: the workspace is not under git" in text
    assert "2026-11-18 Narrower rims for saltmarsh/2027 6.3, as its job says job rims, done on 2026-11-18 by ines" in text
    data = json.loads(run(root, "--car", "marram", "--json"))
    jsonschema.validate(data, json.loads(schema_bytes("history.schema.json")))
    assert (data["first"], data["unknown"]) == (None, "the workspace is not under git")
    assert [one["day"] for one in data["alterations"]] == ["2026-05-05", "2026-11-18"]


def test_a_commit_with_a_broken_file_or_none_is_passed_over(run, garage, put, run_git):
    """Whatever stood there once, the history of what can be read goes on."""
    before = json.loads(run(garage, "--car", "marram", "--json"))["alterations"]
    file = garage / "cars/marram/car.yaml"
    good = file.read_text()
    for content in ("spec: [", "- a list\n", None, "name: \x00\n"):
        file.unlink() if content is None else file.write_text(content)
        run_git("add", "-A")
        run_git("commit", "-qm", "broken")
    file.write_text(good)
    run_git("add", ".")
    run_git("commit", "-qm", "well again")
    assert json.loads(run(garage, "--car", "marram", "--json"))["alterations"] == before


def test_a_bulletin_is_answered_from_the_day_it_is_published(run, put, run_git, monkeypatch):
    """Not before, though it was in force earlier; and its number stands beside the clause."""
    run_git("init", "-q", "-b", "main")
    words = RIM_WORDS.format(9)
    front = "---\nnumber: 1\npublished: 2027-05-01\neffective: 2027-05-01\n---\n\n"
    limit = f"limit: {{{WIDTH}: {{max: 9 in}}}}\nconfirmed: {{by: ina, on: 2027-05-01, text: {digest(words)}}}"
    bulletin = {"rulesets/saltmarsh/2027/bulletins/1.md": front + clause("6.3", words, limit)}
    for day, rim in (("2027-02-01", "10 in"), ("2027-04-30", "9 in"), ("2027-05-02", "10 in"), ("2027-05-03", "9 in")):
        monkeypatch.setenv("GIT_AUTHOR_DATE", f"{day}T12:00:00+00:00")
        root = put({**RULES, **bulletin, "cars/marram/car.yaml": car(rim)})
        run_git("add", ".")
        run_git("commit", "-qm", "x")
    told = json.loads(run(root, "--car", "marram", "--json"))["alterations"]
    answers = [(one["day"], [(answer["clauses"], answer["bulletins"]) for answer in one["answers"]]) for one in told]
    assert answers == [("2027-04-30", []), ("2027-05-02", []), ("2027-05-03", [(["6.3"], ["1"])])]


def test_what_came_from_a_branch_is_told_with_its_merge(run, garage, put, run_git):
    """Each state follows from the one before it, so that two branches do not seem to undo each other."""
    file = garage / "cars/marram/car.yaml"
    run_git("checkout", "-qb", "wing")
    file.write_text(file.read_text().replace("70 mm", "72 mm"))
    run_git("commit", "-qam", "x")
    run_git("checkout", "-q", "main")
    put({"race crew/cars/marram/note.md": "x"})
    run_git("add", ".")
    run_git("commit", "-qm", "x")
    run_git("merge", "-q", "--no-ff", "-m", "x", "wing")
    data = json.loads(run(garage, "--car", "marram", "--json"))["alterations"]
    assert [(one["old"], one["new"]) for one in data if one["subjects"] == ["aero.splitter.projection"]] == [
        ("50 mm", "70 mm"),
        ("70 mm", "72 mm"),
    ]
    assert run_git("rev-parse", "HEAD") in [one["recorded"]["commit"] for one in data if one["new"] == "72 mm"]


@pytest.mark.parametrize("arguments", [(), ("6.3", "--car", "marram")])
def test_a_clause_or_a_car_is_named(run, put, arguments):
    """One of them, not both."""
    root = put({**RULES, "cars/marram/car.yaml": car("9.5 in")})
    assert "name a clause, or a car with --car" in run(root, *arguments, status=2)


def test_an_unknown_car_is_a_fault(run, put):
    """As everywhere."""
    root = put({**RULES, "cars/marram/car.yaml": car("9.5 in")})
    assert "unknown-car" in run(root, "--car", "nobody", status=2)
