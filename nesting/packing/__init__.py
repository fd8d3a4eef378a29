"""The solver: straight-cut nesting on whole numbers, with nothing of mats, money signs or files in it."""
