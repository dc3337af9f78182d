"""books"""
