"""Many plans of one job: within limits, at several discounts, and what may happen at the till."""
