"""What comes back: typed notes and the plan to write them."""
