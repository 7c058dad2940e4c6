"""Data files that are shipped with the program."""
