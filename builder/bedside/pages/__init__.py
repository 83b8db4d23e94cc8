"""Records and arithmetic turned into exactly what people see."""
