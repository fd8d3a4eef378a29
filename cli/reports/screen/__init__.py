"""What is printed in the terminal.

- `plan`: the short answer
- `compare`: a comparison
- `till`: what may happen at the till
- `shelf`: the shelf
- `pairs`: which picture goes into which frame
- `sizes`: every mat's sizes
- `prices`: what each offer costs after its discount
- `text_mats`: a mat drawn in letters
"""
