"""Views: what each page says, as words and figures ready to print. `public` decides what of a build may leave the shop.

Invariant: what is public is decided and every figure written here; the templates only lay it out.
"""
