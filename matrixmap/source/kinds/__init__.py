"""Machines, hosts and layouts: nodes made into values of the model, and the project that holds them."""
