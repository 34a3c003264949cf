"""What a planned or a recorded run does to the parts: air, heat, cure, and the run that the judge would see."""
