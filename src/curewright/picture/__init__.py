"""The plots that paper and pages use."""
