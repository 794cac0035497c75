"""What a reviewer would say of a pack: findings on its records and wiring, and how well it does on simulated jobs."""
