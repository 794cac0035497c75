"""What closed jobs teach: fault rates and outcome tables from cases with a proven fault, as a shop's own numbers."""
