"""An edited number carried back to the YAML values that explain it; in work."""
