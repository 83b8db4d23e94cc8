"""One page a record, and the lists: causes, controls, topics, sources."""
