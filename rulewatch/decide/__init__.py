"""Deciding: where ballast goes, which options are worth it, in which order work is done."""
