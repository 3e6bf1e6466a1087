"""Names made up for the demo. Nobody, no club and no place is meant."""

GIVEN_F = (
    "Ines", "Greta", "Palmira", "Siobhan", "Asta", "Wren", "Runa", "Odile", "Maika", "Tova", "Yuna", "Ilse",
    "Brisa", "Calla", "Dagny", "Eluned", "Fenna", "Halina", "Jorunn", "Kaisa", "Liv", "Mirela", "Nadezhda", "Zofia",
)  # fmt: skip
GIVEN_M = (
    "Marlow", "Tobias", "Ravi", "Jonas", "Odd", "Ludvik", "Hale", "Dov", "Niko", "Moritz", "Corin", "Anselm",
    "Bram", "Cato", "Emil", "Farid", "Gideon", "Henk", "Ivo", "Joaquim", "Kjell", "Leif", "Matti", "Nuno",
    "Oskar", "Pelle", "Quentin", "Rurik", "Stellan", "Thiago", "Ulrik", "Viggo", "Wendell", "Yaro", "Zeno", "Åke",
)  # fmt: skip
FAMILY = (
    "Halvorsen", "Okonjo", "Brandsma", "Whitlock", "Ferreira", "Lindqvist", "Castellan", "Abernethy", "Moravec",
    "Tindall", "Yamashiro", "Rask", "Varga", "Quist", "Oyelaran", "Pennock", "Eskola", "Mortlake", "Mordaunt",
    "Morwen", "Stroud", "Aldersey", "Bexwick", "Cawthorne", "Dunmarrow", "Ellerby", "Fennimore", "Garrowby",
    "Hollinside", "Isbister", "Jarrow", "Kesteven", "Lambrigg", "Marchbank", "Netherby", "Oxnam", "Pillerton",
    "Quarrington", "Roxwell", "Saltmarsh", "Thornleigh", "Underbarrow", "Vennacher", "Wragby", "Yelverton",
    "Zeal", "Åslund", "Øvrebø", "Étienvre", "Łoziński", "O'Dunmore", "Vanderwaterbeemd-Eskola",
)  # fmt: skip
# Names outside the Latin alphabet: lists, cards and the board have to carry them.
ELSEWHERE = (("Ελένη", "Καρυδά"), ("Дмитро", "Гайовий"), ("さくら", "森野"), ("Şebnem", "Gökdere"))
TOWNS = (
    "Heron Flats",
    "Port Sable",
    "Quarry Hill",
    "Aldmoor",
    "Tarn Edge",
    "Millrace",
    "Saltby",
    "Long Ferry",
)
CLUBS = ("Sable Throwers", "Quarry Chains", "Heron Flight Club", "")
PACKS = ("S", "M", "L", "XL")
