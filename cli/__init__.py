"""The command line and the written reports.

- `entry`: what runs first, so that Ctrl-C is heeded while the rest is loaded
- `main`: the command `windowfall`, and what becomes of every error
- `teaching`: help with examples, and what was probably meant
- `plain`: output without colours
- `seconds`: how long a search may take
- `progress`: how a search is going
"""
