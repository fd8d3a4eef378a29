"""Reports: each takes a plan and an open file."""
