"""The job to fill in that `windowfall start` writes, as a workbook and as a folder of CSV files.

- `content`: which rows stand in it
- `guide`: what to do, in a few lines
- `measuring`: the page to measure with
- `layout`: row heights, and where notes lie
- `workbook`: the workbook
- `folder`: the folder
"""
