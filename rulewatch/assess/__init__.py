"""Conditions and limits on a car, verdicts, weight, impact."""
