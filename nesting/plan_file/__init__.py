"""The plan file, `plan.json`.

- `write`: a plan as text
- `read`: a plan file read back, every part checked
"""
