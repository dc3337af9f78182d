"""The shell: the command line, the shop folder, `out/` with its store, pictures and sounds, the preview.

Invariant: the other layers read no file but the package's own data, ask no clock and print nothing; what does stands here.
"""
