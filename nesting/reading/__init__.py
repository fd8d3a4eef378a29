"""From a workbook or a folder of CSV files to a job, with every fault named.

- `columns`: the tables and columns of a job, in one list
- `tables`: a workbook or CSV files as raw cells, each with its place
- `grid`: a CSV file as it was saved, so that a changed cell changes nothing else
- `headings`: headings, the user's own columns, totals
- `colours`: colours by their plain words
- `fields`: raw cells as typed fields; notes every fault
- `rows`: a row's fields as what it asks for: the rules between columns
- `alternatives`: which boards a cell names: one, or several that would do
- `job`: a path as a `Job`, or all its faults at once
- `choices`: the table choices, kept beside a job
- `limits`: how large a job may be, in one place
- `lookalike`: names that are probably one name spelt in two ways
- `named_sizes`: width x height in one cell, or a name such as A4
- `plain_list`: a plain list of frames as rows of the pieces table
"""
