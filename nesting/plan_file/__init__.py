"""The plan file, `plan.json`: written and read back."""
