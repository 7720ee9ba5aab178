"""Machines, hosts and layouts: nodes become values of the model, and a project holds them."""
