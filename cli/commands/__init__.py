"""One thin function for each command."""
