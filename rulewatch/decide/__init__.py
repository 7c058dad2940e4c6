"""Options, pace, schedule, readiness."""
