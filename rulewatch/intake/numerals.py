"""Numbers as lists and headings write them: figures, letters, Roman numerals."""

from __future__ import annotations

ROMAN = (
    *((1000, "m"), (900, "cm"), (500, "d"), (400, "cd"), (100, "c"), (90, "xc"), (50, "l"), (40, "xl")),
    *((10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i")),
)
LARGEST_ROMAN = 3999
LETTERS = 26
MOST_LETTERS = 40  # of one numeral; more are figures


def written(number: int, style: str) -> str:
    """A number in a style: `decimal`, `decimal-zero`, `lower-alpha`, `upper-alpha`, `lower-roman`, `upper-roman`.

    Behind z comes aa, then ab. What a style cannot write, and any other style, is in figures.
    """
    case = str.upper if style.startswith("upper-") else str.lower
    if style.endswith("-roman") and 0 < number <= LARGEST_ROMAN:
        return case(roman(number))
    if style.endswith("-alpha") and number > 0:
        return case(letters(number))
    if style == "decimal-zero":
        return f"{number:02d}"
    return str(number)


def roman(number: int) -> str:
    """A number from 1 to 3999 in small Roman numerals."""
    found = ""
    for value, sign in ROMAN:
        times, number = divmod(number, value)
        found += times * sign
    return found


def letters(number: int) -> str:
    """A number from 1 on as a to z, then aa, ab and so on."""
    found = ""
    while number > 0:
        number, place = divmod(number - 1, LETTERS)
        found = chr(ord("a") + place) + found
    return found


def repeated_letters(number: int) -> str:
    """A number from 1 on as word processors count: a to z, then aa, bb and so on."""
    times, place = divmod(number - 1, LETTERS)
    return chr(ord("a") + place) * (times + 1) if times < MOST_LETTERS else str(number)
