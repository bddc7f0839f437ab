"""One small module per rule: its codes with their explanations, and a pure function that finds them."""
