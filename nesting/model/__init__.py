"""What was asked, sized, planned and cut, as frozen types.

- `job`: what was asked
- `choices`: what was chosen for a plan beside that
- `mat`: a mat, sized: its blank, borders and windows
- `plan`: what a plan holds: sheets, purchase, costs, summary
- `cut_tree`: how a sheet is divided: the solution itself
- `sides`: edges and directions of what lies on the bench
- `status`: how a solve ended
"""
