"""What is stored of a handbook and of its site, and what a stored thing depends on."""
