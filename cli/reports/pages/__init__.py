"""The booklet of pages, and the files that show it."""
