"""How good it is: drawn gardeners, published cases, goals, the report."""
