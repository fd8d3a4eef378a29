"""From a workbook or a folder of CSV files to a job, with every fault named."""
