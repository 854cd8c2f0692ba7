"""Limbwright: from a residual limb to a below-knee prosthesis, computed at every step."""

__version__ = "0.1.0"
