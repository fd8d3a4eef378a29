"""What is done at the bench: what is cut in which order, and to which settings.

- `rounds`: sheets that are cut alike, in working order
- `cut_order`: the straight cuts of alike sheets in order
- `cutting_list`: what one straight cut is at the bench, and its line of print
- `steps`: a straight cut and what follows it, as lines of the page
- `bevels`: pencil lines, guide and stop of each bevel cut
- `fitting`: glass and backs by size
- `labels`: labels for the blanks
- `proportions`: borders that look odd, and what to change
- `cautions`: what can hurt a person or spoil a board, once each
"""
