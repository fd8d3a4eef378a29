"""What may happen at the till, worked out beforehand: a board sold out, room for more, sheets worth stocking."""
