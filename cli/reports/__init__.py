"""Reports: what several of them say in the same words.

- `sentences`: what to buy, what was proven, what pieces cost
- `advice`: what `check` says to a person
- `comparing`: what a comparison says
- `at_the_till`: what is said of the till
- `paragraphs`: sentences set in lines for a window
"""
