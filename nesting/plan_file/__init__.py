"""The plan file, `plan.json`.

- `identity`: when two plans cut the same
- `write`: a plan as text
- `read`: a plan file read back, every part checked
"""
