"""Drawing the ring with OpenGL: canvas, buffers, shaders."""
