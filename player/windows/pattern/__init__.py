"""The pattern window: its screen, its framebuffer, its shader, and what guards its pixels."""
