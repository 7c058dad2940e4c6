"""From the coordinates of a PDF, which grow upwards and may be turned, to those of the page as it is shown."""

from __future__ import annotations

from dataclasses import dataclass

_RIGHT_WAY_UP = 0.05  # a slope below 3 degrees is a page that lay askew, not a direction of writing


@dataclass(frozen=True, slots=True)
class Turn:
    """A page's box (left, bottom, right, top) and by how many quarters it is shown turned clockwise."""

    box: tuple[float, float, float, float]
    quarters: int

    @classmethod
    def of(cls, box: tuple[float, float, float, float], degrees: int) -> Turn:
        """From a page's box and rotation."""
        return cls(box, degrees // 90 % 4)

    def further(self, quarters: int) -> Turn:
        """The same page turned clockwise by so many quarters more."""
        return Turn(self.box, (self.quarters + quarters) % 4)

    @property
    def width(self) -> float:
        """Of the page as it is shown."""
        left, bottom, right, top = self.box
        return top - bottom if self.quarters % 2 else right - left

    @property
    def height(self) -> float:
        """Of the page as it is shown."""
        left, bottom, right, top = self.box
        return right - left if self.quarters % 2 else top - bottom

    def point(self, x: float, y: float) -> tuple[float, float]:
        """A place, from the left and from the top."""
        left, bottom, right, top = self.box
        return (
            (x - left, top - y),
            (y - bottom, x - left),
            (right - x, y - bottom),
            (top - y, right - x),
        )[self.quarters]

    def box_of(self, left: float, bottom: float, right: float, top: float) -> tuple[float, float, float, float]:
        """A rectangle as left, top, right, bottom on the page."""
        (ax, ay), (bx, by) = self.point(left, bottom), self.point(right, top)
        return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)

    def span(self, left: float, bottom: float, right: float, top: float) -> tuple[float, float]:
        """From where to where on the page a rectangle reaches, from the left."""
        box = self.box
        if self.quarters == 0:
            return left - box[0], right - box[0]
        return ((bottom - box[1], top - box[1]), (box[2] - right, box[2] - left), (box[3] - top, box[3] - bottom))[
            self.quarters - 1
        ]

    def direction(self, a: float, b: float) -> int | None:
        """Where writing along (a, b) runs on the page, in clockwise quarters from the left-to-right; None if askew."""
        along, down = ((a, -b), (b, a), (-a, b), (-b, -a))[self.quarters]
        if abs(down) <= _RIGHT_WAY_UP * abs(along):
            return 0 if along > 0 else 2
        if abs(along) <= _RIGHT_WAY_UP * abs(down):
            return 1 if down > 0 else 3
        return None
