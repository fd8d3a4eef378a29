"""The booklet of pages, and the files that show it.

- `booklet`: blocks of words, tables, pictures and cards
- `compose`: which blocks a plan has, in the order in which pages are wanted
- `money`: what to buy and what each piece costs
- `bench`: sheets with their cuts, mats with their settings
- `fitting`: the wall, glass and backs, labels, leftovers
- `check`: a checked job
- `compare`: a comparison
- `till`: the page for the shop
- `html`: the booklet for a browser
- `pdf`: the booklet on paper
- `pdf_tables`: tables on paper
- `pen`: strokes and letters on PDF pages
"""
