"""Pairs of clauses, their wording, and the effect of a change."""
