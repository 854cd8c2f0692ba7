"""The live model: tissue and liner condensed to their outside, in contact with a rigid socket."""
