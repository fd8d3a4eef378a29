"""What is done at the bench: rounds of alike sheets, straight cuts in order, bevel settings, labels, cautions."""
