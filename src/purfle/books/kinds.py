"""The expense kinds that the books write down by themselves, as they are shown; all others are named by a note or shop.md.

Invariant: names alone; where they stand on a tax form is for `taxforms` to say.
"""

SELLING_FEES = "selling fees"
POST = "post"
PACKING = "packing"
PARCEL_INSURANCE = "parcel insurance"
SENDING = {POST: "shipping_paid", PACKING: "packing", PARCEL_INSURANCE: "insurance"}
"""What sending a build to its buyer brings → the key of the sale that says it."""
SELLING = (SELLING_FEES, *SENDING)
"""What a build's own sale brings; with a build named these lower that build's profit."""
SHARE = "share"
"""A partner's part of a sale."""
SUPPLIES = "shop supplies"
"""What is bought for the shop and says no kind."""
MILEAGE = "mileage"
