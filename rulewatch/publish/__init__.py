"""Results into pages, as a mapping of path to bytes."""
