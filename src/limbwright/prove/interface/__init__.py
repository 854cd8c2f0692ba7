"""Interface pressure: engines behind one interface, and how their fields are read."""
