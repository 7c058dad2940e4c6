"""The only room that touches disk and git."""
