"""rulewatch: what changed in the rules, and what it does to each car."""

__version__ = "0.1.0"
