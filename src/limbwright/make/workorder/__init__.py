"""The work order: one PDF that a technician makes the leg from, and true-size templates."""
