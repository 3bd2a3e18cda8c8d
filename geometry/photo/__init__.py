"""Photo: pictures read upright, with what the camera wrote about itself."""
