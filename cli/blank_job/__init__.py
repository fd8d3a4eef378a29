"""A job to fill in: what stands in it, as a workbook and as a folder of CSV files."""
