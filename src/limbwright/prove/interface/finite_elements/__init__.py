"""Finite elements of tissue and liner between rigid bones and the rigid socket."""
