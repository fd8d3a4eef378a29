"""Reports as files.

- `folder`: all files of `--out`, each written whole or not at all
- `workbook`: the plan as a workbook
- `pieces`: the pieces table that a pairing makes
"""
