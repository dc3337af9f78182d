"""views"""
