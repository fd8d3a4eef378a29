"""Reports as files: the folder, the workbook, the pieces table."""
