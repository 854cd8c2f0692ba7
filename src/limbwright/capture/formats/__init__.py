"""One module for each kind of mesh file; `capture.read` chooses among them."""
