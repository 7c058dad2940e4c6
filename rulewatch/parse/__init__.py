"""Text into values and faults. Takes text, never paths."""
