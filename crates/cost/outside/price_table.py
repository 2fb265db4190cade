"""Prices by Python's decimal module, as a table that the tests hold the program to."""

import csv
import random
import sys
from decimal import ROUND_HALF_UP, Decimal, getcontext

getcontext().prec = 60
random.seed(20261129)

DIGITS = {"EUR": 2, "USD": 2, "GBP": 2, "JPY": 0, "KWD": 3}


def rounded(amount, digits):
    return amount.quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)


def price(row):
    digits = DIGITS[row["currency"]]
    # Lines are rounded one by one before they are added up.
    parts = sum((rounded(Decimal(p) * Decimal(q), digits) for p, q in row["lines"]), Decimal(0))
    labour = rounded(Decimal(row["hours"]) * Decimal(row["rate"]), digits)
    direct = parts + labour
    overhead = rounded(direct * Decimal(row["overhead"]) / 100, digits)
    cost = direct + overhead
    net = rounded(cost / (1 - Decimal(row["margin"]) / 100), digits)
    margin = net - cost
    to_minimum = max(Decimal(0), Decimal(row["minimum"]) - net) if direct else Decimal(0)
    net += to_minimum
    taxes = [rounded(net * Decimal(t) / 100, digits) for t in row["taxes"]]
    total = net + sum(taxes, Decimal(0))
    stages, left = [], total
    for i, share in enumerate(row["stages"]):
        due = left if i == len(row["stages"]) - 1 else rounded(total * Decimal(share) / 100, digits)
        left -= due
        stages.append(due)
    show = lambda amount: f"{rounded(amount, digits):f}"
    return [show(x) for x in (parts, labour, overhead, margin, to_minimum, net)] + [
        " ".join(map(show, taxes)),
        show(total),
        " ".join(map(show, stages)),
    ]


def money(low, high, digits):
    return f"{Decimal(random.randint(low * 10**digits, high * 10**digits)).scaleb(-digits):f}"


def draw():
    currency = random.choice(list(DIGITS))
    lines = [
        (money(0, 400, random.choice([0, 2, 3, 4])), str(random.choice([1, 2, 3, 7, 17, 131])))
        for _ in range(random.randint(1, 6))
    ]
    return {
        "currency": currency,
        "lines": lines,
        "hours": money(0, 80, 2),
        "rate": money(20, 150, random.choice([0, 2])),
        "overhead": random.choice(["0", "7.5", "10", "12.25", "33.333"]),
        "margin": random.choice(["0", "15", "20", "33.3", "42.857", "95"]),
        "minimum": random.choice(["0", "0", "250", "9000"]),
        "taxes": random.choice([[], ["19"], ["8.875"], ["5", "9.975"], ["20"]]),
        "stages": random.choice([["100"], ["50", "50"], ["33.3", "33.3", "33.4"], ["30", "40", "30"]]),
    }


# Sums that fall on a half of the smallest unit: 0.125, 2.5 yen, and a half after the division by 1 - 20 %.
ROWS = [
    {"currency": "EUR", "lines": [("0.125", "1")], "hours": "0", "rate": "50", "overhead": "0", "margin": "0",
     "minimum": "0", "taxes": [], "stages": ["50", "50"]},
    {"currency": "JPY", "lines": [("2.5", "1")], "hours": "0.5", "rate": "5", "overhead": "50", "margin": "0",
     "minimum": "0", "taxes": ["10"], "stages": ["50", "50"]},
    {"currency": "EUR", "lines": [("100.02", "1")], "hours": "0", "rate": "50", "overhead": "0", "margin": "20",
     "minimum": "0", "taxes": ["50"], "stages": ["100"]},
    {"currency": "KWD", "lines": [("0.0005", "1")], "hours": "1.25", "rate": "10.002", "overhead": "0", "margin": "0",
     "minimum": "0", "taxes": ["5"], "stages": ["50", "50"]},
]

writer = csv.writer(sys.stdout, lineterminator="\n")
writer.writerow(
    "currency,lines,hours,rate,overhead,margin_share,minimum,tax_rates,stage_shares,"
    "parts,labour,overhead_sum,margin,to_minimum,net,taxes,total,stages".split(",")
)
for row in ROWS + [draw() for _ in range(196)]:
    writer.writerow([
        row["currency"],
        " ".join(f"{p}x{q}" for p, q in row["lines"]),
        row["hours"], row["rate"], row["overhead"], row["margin"], row["minimum"],
        " ".join(row["taxes"]), " ".join(row["stages"]),
        *price(row),
    ])
