"""What every stage rests on: units, frame and side, meshes, sources, findings, errors."""
