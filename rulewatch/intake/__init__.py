"""Bytes of a published book into candidate chapters of clauses."""
