"""show"""
