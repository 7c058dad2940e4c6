"""Points as arguments of a command."""

from __future__ import annotations

from typing import Any

import click

from rulewatch.cli.output import print_faults
from rulewatch.model.edition import ClassPoint, Point
from rulewatch.model.fault import Fault
from rulewatch.parse.points import parse_point


class PointType(click.ParamType[Point]):
    """A point; one that is none ends the command with its fault and status 2."""

    name = "point"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Point:  # noqa: ARG002
        """Read the point from its text."""
        found = value if isinstance(value, Point) else parse_point(str(value))
        if isinstance(found, Fault):
            print_faults([found])
            raise SystemExit(2)
        return found


class ClassPointType(click.ParamType[ClassPoint]):
    """A point with a class behind a colon, or a point alone for all of its classes."""

    name = "class"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> ClassPoint:
        """Read the point and the class; what follows the last colon is a class unless it has a slash."""
        if isinstance(value, ClassPoint):
            return value
        front, _, last = str(value).rpartition(":")
        point = front if front and "/" not in last and not front.endswith("@event") else str(value)
        found = PointType().convert(point, param, ctx)
        return ClassPoint(point=found, name=last if point == front else "")
