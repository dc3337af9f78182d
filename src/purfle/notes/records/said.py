"""Words that people write for keys that stand in several records, for their `instead_of`.

Invariant: knows no record.
"""

FOR_QTY = "quantity amount number count pieces pcs"
FOR_SHIPPING = "post postage freight delivery carriage ship"
"""Where one pays it; at a sale there are two."""
FOR_PAID = "pay payed"
FOR_HOURS = "time took spent duration hrs"
