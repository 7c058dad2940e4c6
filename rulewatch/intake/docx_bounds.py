"""How much of a DOCX is read at most. A file beyond a bound is one fault, found before or while it is unpacked."""

from __future__ import annotations

LARGEST_FILE = 200_000_000  # bytes as it comes; pictures are most of a large one
MOST_PARTS = 20_000  # files in the archive
LARGEST_PART = 60_000_000  # bytes of one part unpacked; a book of 1,000 pages has some 20 million
LARGEST_WHOLE = 100_000_000  # bytes of all parts that are unpacked; pictures are not
MOST_ELEMENTS = 1_500_000  # tags of all parts that are read; 100,000 take some 0.7 s, a book of 200 pages has about as many
DEEPEST = 120  # tags within each other; a table in a text box in a table has some 40
MOST_CELLS = 200_000  # of one table as a grid
WIDEST = 200  # columns that a cell may span
