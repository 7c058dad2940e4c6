"""Frozen values: quantities, clauses, readings, cars, changes, impacts, faults."""
