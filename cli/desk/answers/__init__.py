"""What changes something, and what is drawn while one types; each is asked for by the page's own script.

- `asked`: what a request asks, checked to be what the page would ask
- `tables`: the tables of a wall
- `choices`: what is chosen for its plans
- `plans`: its plans, its ticks and its bookings
- `walls`: the walls themselves, and the shelf
- `screens`: second screens, as their owner has them
- `refusals`: what is answered where something cannot be done
- `routes`: their addresses, and how the desk is opened and closed
"""
