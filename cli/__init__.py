"""The command line and the written reports."""
