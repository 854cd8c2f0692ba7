"""An invented person and a limb generated for them, for demonstration and tests."""
