"""shell"""
