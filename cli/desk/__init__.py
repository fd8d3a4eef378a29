"""The page in the browser: the library with a face, served on this machine alone.

- `files`: where the desk keeps things, and how a file is replaced in one step
- `walls`: the walls that the desk knows, by ids
- `moving`: renaming and copying a wall, and the bin
- `emptying`: deleting what is in the bin
- `cards`: what the list of walls says of each
- `tables`: reading and changing a table of a wall, with its version and its history
- `stepping`: a step of the history, taken back or again by its cells
- `pins`: which pieces are to have one board
- `dated`: cells of which a spreadsheet made a date
- `views`: a plan as words and drawings for the page
- `asides`: what if and compare as words for the page
- `planning`: what the process that plans does for each kind of task
- `worker`: that process: one task after the other, and the stop
- `planner`: the server's end of that process
- `drafts`: plans of a wall on the disk: its last drafts, and those at the bench with their ticks
- `bookings`: from ticks to the shelf
- `holding`: the shelf as the page shows it, and its changes by hand
- `events`: what is told to open pages
- `safety`: which requests are answered at all
- `desk`: one running desk, which the places share
- `shown`: a table as the page shows it
- `places`: the places of the page, each with its address
- `books`: a wall from a workbook, and as one
- `listed`: a plain list of frames that is dropped on the page
- `answers/`: what changes something, and what is drawn while one types
- `shortcut`: a file on the desktop that starts it
- `server`: from the command to a page, and its end
"""
