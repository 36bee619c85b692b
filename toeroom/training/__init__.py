"""Training: a case that unfolds, decisions that are marked, a debrief, and what was practised so far."""
