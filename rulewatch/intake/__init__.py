"""Bytes of a published book into candidate chapters."""
