"""What was learned at a fitting, and what to change first."""
