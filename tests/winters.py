"""A club and a car over some winters, in few words: the rules of each season, what the car is, and the jobs of its crew."""

from __future__ import annotations

from collections.abc import Mapping

from five_seasons import read
from support import BODY

NOISE = "The exhaust noise is at most {}, measured half a metre behind the outlet with the engine at speed."
RIMS = "A rear rim is no wider than {}, measured between the bead seats, with the tyre off."
SPEC = "engine.exhaust.noise: 96 dB(A)\n  wheels.rear.rim_width: [10 in, 10 in]"
JOBS = "cars/heron/jobs.yaml"


def noise(number: str, limit: str) -> str:
    """The rule on noise."""
    return read(number, f"Noise\n\n{NOISE.format(limit)}", f"limit: {{engine.exhaust.noise: {{max: {limit}}}}}")


def rims(number: str, width: str) -> str:
    """The rule on rims."""
    return read(number, f"Rear rims\n\n{RIMS.format(width)}", f"limit: {{wheels.rear.rim_width: {{max: {width}}}}}")


def weights(number: str, minimum: str) -> str:
    """The rule on the least weight."""
    text = f"Weight\n\nThe car weighs no less than {minimum} at any time of the event, without the driver."
    return read(number, text, f"weight: {{minimum: {minimum}}}")


def winters(
    books: Mapping[str, str],
    *,
    spec: str = SPEC,
    jobs: str | None = None,
    entries: str = "{body: saltmarsh, class: silhouette-b}",
    bulletins: Mapping[str, str] | None = None,
    pairs: Mapping[str, str] | None = None,
) -> dict[str, str]:
    """The files of a workspace: `books` are the rules by season, `bulletins` and `pairs` what lies beside some of them."""
    files = {
        "rulesets/saltmarsh/body.yaml": BODY,
        "cars/crew.yaml": "people:\n  ina: {name: Ina}\n  mara: {name: Mara Fenwright}\n",
    }
    previous = ""
    for season, rules in books.items():
        folder = f"rulesets/saltmarsh/{season}"
        files[f"{folder}/edition.yaml"] = (
            f"title: Rules {season}\npublished: {int(season) - 1}-11-15\neffective: {season}-01-01\n{previous}events:\n"
            f"  - {{id: spring, title: Spring meeting, on: {season}-04-10}}\n"
            f"  - {{id: autumn, title: Autumn meeting, on: {season}-10-02}}\n"
        )
        files[f"{folder}/01-rules.md"] = rules
        previous = f"previous: {season}\n"
    files |= {f"rulesets/saltmarsh/{season}/bulletins/1.md": text for season, text in (bulletins or {}).items()}
    files |= {f"rulesets/saltmarsh/{season}/pairs.yaml": text for season, text in (pairs or {}).items()}
    files["cars/heron/car.yaml"] = f"name: Heron\nentries: [{entries}]\nspec:\n  {spec}\n"
    if jobs is not None:
        files[JOBS] = jobs
    return files
