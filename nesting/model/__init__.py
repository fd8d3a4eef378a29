"""What was asked, sized, planned and cut, as frozen types."""
