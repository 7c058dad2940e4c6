"""What is open, and what was carried, as plain data; the shapes are described by `schema/confirm.schema.json` and `carry.schema.json`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rulewatch.model.carried import CarriedReading
from rulewatch.model.step import Block, Carriage, Offer, Step


def steps_data(found: Iterable[tuple[Step, Offer]]) -> dict[str, Any]:
    """Steps with what could stand there, in the order given."""
    return {"open": [_step(step, offer) for step, offer in found]}


def carriage_data(carriage: Carriage) -> dict[str, Any]:
    """What became of each reading, in the order of the old book."""
    return {
        "old": str(carriage.old),
        "new": str(carriage.new),
        "written": list(carriage.written),
        "counts": {fate.value: number for fate, number in carriage.carried.counts.items()},
        "readings": [_carried(one) for one in carriage.carried.readings],
    }


def _carried(one: CarriedReading) -> dict[str, Any]:
    return {
        "old": one.old,
        "new": one.new or None,
        "fate": one.fate.value,
        "carried": one.fate.carried,
        "confirmed": one.confirmed,
        "lost": list(one.lost),
        "followed": [list(pair) for pair in one.followed],
        "notes": list(one.notes),
        "reading": one.text,
    }


def _step(step: Step, offer: Offer) -> dict[str, Any]:
    reading = step.reading
    confirmed = reading.confirmed if reading is not None else None
    return {
        "edition": str(step.point),
        "clause": step.clause.id,
        "name": step.name,
        "heading": step.clause.heading,
        "state": "unread" if reading is None else "confirmed" if step.confirmed else "unconfirmed",
        "asked": step.asked,
        "path": step.path,
        "line": (step.clause.place if reading is None else reading.place).line,
        "text": step.clause.digest,
        "old": [clause.id for clause in step.before],
        "words": [[mark.value, text] for mark, text in step.words],
        "reading": _inside(step.block) if reading is not None else None,
        "confirmed": {"by": confirmed.by, "on": confirmed.on.isoformat(), "text": confirmed.text} if confirmed else None,
        "concerns": {
            "cars": [
                {
                    "car": one.car,
                    "class": one.class_name,
                    "subject": one.subject,
                    "verdict": one.verdict.value,
                    "why": one.why,
                }
                for one in step.concern.cars
            ],
            "options": [{"car": car, "what": what} for car, what in step.concern.options],
            "parts": list(step.concern.parts),
        },
        "offer": {
            "readings": [_inside(block) for block in offer.blocks],
            "moved": [
                {"old": one.was_written, "new": one.now_written}
                for one in (step.proposal.replacements if step.proposal is not None else ())
            ],
            "from": [{"part": part, "words": words} for part, words in offer.origins],
            "doubts": list(offer.doubts),
            "why_not": offer.why_not,
            "nearest": list(offer.nearest),
        },
    }


def _inside(block: Block) -> str:
    return "\n".join(block[1:-1])
