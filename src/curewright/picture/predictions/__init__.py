"""The plots of a prediction: through the thickness, what the sensors would show, and what becomes of the resin."""
