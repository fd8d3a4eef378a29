"""What is printed in the terminal."""
