"""Values laid over strip and ring in colour, with their scales and legend."""
