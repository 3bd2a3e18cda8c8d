"""Tooltips in German: stock, parts and test pieces."""

__all__ = ["TIPS_PART"]

PART = {
    "A bore in a small plate": "Eine Bohrung in einem Plättchen",
    "A ring to drop into something round": "Ein Ring, der in etwas Rundes fällt",
    "A ring to slip over something round": "Ein Ring, der über etwas Rundes gleitet",
    "A second feature that loosens as the first loosens": (
        "Ein zweites Merkmal, das sich mit dem ersten lockert"
    ),
    "A tongue that goes into a slot": "Eine Zunge, die in einen Schlitz geht",
    "A tongue with a round tip": "Eine Zunge mit runder Spitze",
    "Add a sheet material with numbers of common practice; measure your own sheet and kerf": (
        "Ein Plattenmaterial mit üblichen Werten anlegen; die eigene Platte und Fuge messen"
    ),
    "Add the stock chosen in the library to this file": (
        "Das in der Bibliothek gewählte Material dieser Datei hinzufügen"
    ),
    "Burns a narrow kerf; inside corners stay sharp": (
        "Brennt eine schmale Fuge; Innenecken bleiben scharf"
    ),
    "Diameter of the router's cutter": "Durchmesser des Fräsers",
    "Empty: the material's own name": "Leer: der Name des Materials",
    "Empty: the one chosen in the list": "Leer: das in der Liste gewählte",
    "Falls together": "Fällt zusammen",
    "Fill in a range that covers the doubt of bench, kerf and caliper": (
        "Einen Bereich eintragen, der die Unsicherheit von Unterlage, Fuge und Schieblehre abdeckt"
    ),
    "From one piece to the next": "Von einem Stück zum nächsten",
    "Full width of material the tool removes": (
        "Volle Breite des Materials, das das Werkzeug wegnimmt"
    ),
    "Give the selected outline the thickness of the chosen stock": (
        "Dem gewählten Umriss die Dicke des gewählten Materials geben"
    ),
    "Goes together by hand": "Geht von Hand zusammen",
    "Held by friction alone": "Hält nur durch Reibung",
    "How far off a size measured by hand may be, either way": (
        "Wie weit ein von Hand gemessenes Maß danebenliegen kann, nach beiden Seiten"
    ),
    "How far off the gap may be read": "Wie weit der Spalt falsch abgelesen sein kann",
    "How far off the kerf may be, either way; the strip test tells. 0: not known": (
        "Wie weit die Fuge danebenliegen kann, nach beiden Seiten; die Streifenprobe sagt "
        "es. 0: unbekannt"
    ),
    "How many there are; 0: always enough": "Wie viele es gibt; 0: immer genug",
    "Keep the chosen stock in the library, for every other file; one of its name is replaced": (
        "Das gewählte Material in der Bibliothek behalten, für jede andere Datei; "
        "gleichnamiges wird ersetzt"
    ),
    "Keep what the selected test piece taught: its stock's slots of that fit are cut by it": (
        "Behalten, was das gewählte Probestück gelehrt hat: Schlitze dieser Passung im "
        "Material richten sich danach"
    ),
    "Largest size": "Größtes Maß",
    "Make the test pieces as parts beside everything else, each lettered with its size": (
        "Die Probestücke als Teile neben allem anderen machen, jedes mit seinem Maß beschriftet"
    ),
    "Measured size of what the piece was tried on; 0 for a slot: the sheet itself": (
        "Gemessenes Maß dessen, woran das Stück probiert wurde; 0 bei einem Schlitz: die "
        "Platte selbst"
    ),
    "More strips, less doubt": "Mehr Streifen, weniger Unsicherheit",
    "Open at one edge, for a sheet": "An einer Kante offen, für eine Platte",
    "Pieces may be turned freely": "Stücke dürfen frei gedreht werden",
    "Rebuild every part from its outline, its stock and its joints": (
        "Jedes Teil aus Umriss, Material und Verbindungen neu bauen"
    ),
    "Remove the chosen stock, unless a part is made of it": (
        "Das gewählte Material entfernen, außer ein Teil ist daraus"
    ),
    "Removes next to nothing": "Nimmt fast nichts weg",
    "Round cutter; inside corners need relief": ("Runder Fräser; Innenecken brauchen Freischnitt"),
    "Side of the sheet that its grain runs along": (
        "Seite der Platte, an der ihre Maserung entlangläuft"
    ),
    "Small pieces with just the feature": "Kleine Stücke nur mit dem Merkmal",
    "Smallest size; 118thou works too": "Kleinstes Maß; 118thou geht auch",
    "Take all test pieces away; what they taught stays with the stock": (
        "Alle Probestücke wegnehmen; was sie gelehrt haben, bleibt beim Material"
    ),
    "Take the chosen stock off the library; files that have it keep it": (
        "Das gewählte Material aus der Bibliothek nehmen; Dateien, die es haben, behalten es"
    ),
    "Take the feature nearest to the 3D cursor; off for the largest circle or the narrowest slot": (
        "Das Merkmal nehmen, das dem 3D-Cursor am nächsten ist; aus: den größten Kreis oder "
        "den schmalsten Schlitz"
    ),
    "Take the nominal size from the selected part's own circle, slot or tab": (
        "Das Nennmaß von Kreis, Schlitz oder Zapfen des gewählten Teils nehmen"
    ),
    "The grain runs along the sheet's height": (
        "Die Maserung läuft an der Höhe der Platte entlang"
    ),
    "The grain runs along the sheet's width": (
        "Die Maserung läuft an der Breite der Platte entlang"
    ),
    "The least stock: half rings and bars for large circles": (
        "Am wenigsten Material: halbe Ringe und Stäbe für große Kreise"
    ),
    "The ring's outside": "Die Außenseite des Rings",
    "The selected part each time, with its feature stepped": (
        "Jedes Mal das gewählte Teil, sein Merkmal abgestuft"
    ),
    "The size that is in doubt": "Das Maß, das unsicher ist",
    "Thousandths of an inch": "Tausendstel Zoll",
    "What a caliper says, not the name on the label": (
        "Was eine Schieblehre sagt, nicht was auf dem Etikett steht"
    ),
    "What a slot is wider than the sheet to fall together": (
        "Wie viel breiter als die Platte ein Schlitz ist, damit es zusammenfällt"
    ),
    "What a slot is wider than the sheet to go together by hand": (
        "Wie viel breiter als die Platte ein Schlitz ist, damit es von Hand zusammengeht"
    ),
    "What a slot is wider than the sheet to hold by friction; below zero presses": (
        "Wie viel breiter als die Platte ein Schlitz ist, damit es durch Reibung hält; "
        "unter null presst"
    ),
    "What is left open with all strips pushed together": (
        "Was offen bleibt, wenn alle Streifen zusammengeschoben sind"
    ),
    "What the sizes on the pieces are in": "Worin die Maße auf den Stücken stehen",
    "Work out the kerf and its doubt from the gap, and keep both with the stock": (
        "Fuge und ihre Unsicherheit aus dem Spalt errechnen und beides beim Material behalten"
    ),
    "Write the strips that tell the kerf as cut files, their lines not corrected": (
        "Die Streifen, die die Fuge verraten, als Schnittdateien schreiben, ihre Linien unverändert"
    ),
}

TIPS_PART = {**PART}
