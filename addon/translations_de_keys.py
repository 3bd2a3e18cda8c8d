"""In German: why a button is grey, keys and clicks in the status bar, words in the viewport."""

__all__ = ["DRAWN", "KEYS", "REASONS"]

REASONS = {
    "A part is made of this stock": "Ein Teil ist aus diesem Material",
    "Add a photo first": "Zuerst ein Foto hinzufügen",
    "Add a stock first": "Zuerst ein Material anlegen",
    "Ask for suggestions first": "Zuerst Vorschläge holen",
    "Check the assembly first": "Zuerst den Zusammenbau prüfen",
    "Choose a cross-lap of the active part in the list": (
        "In der Liste eine Überblattung des aktiven Teils wählen"
    ),
    "Choose the fixture first: the object your parts must fit": (
        "Zuerst den Gegenstand wählen, um den die Teile passen müssen"
    ),
    "Find the grid in a photo first": "Zuerst das Raster in einem Foto finden",
    "Find the photo's scale first": "Zuerst den Maßstab des Fotos finden",
    "Go back to Object Mode first": "Zuerst in den Objektmodus zurückgehen",
    "Lay out the sheets first": "Zuerst die Platten belegen",
    "Make a part first": "Zuerst ein Teil machen",
    "Make at least two parts that meet": "Mindestens zwei Teile machen, die sich treffen",
    "Mark a length or rectangle first": "Zuerst eine Länge oder ein Rechteck markieren",
    "No steps are shown": "Es werden keine Schritte gezeigt",
    "Select a mesh object": "Ein Netzobjekt auswählen",
    "Select a part": "Ein Teil auswählen",
    "Select an open curve that draws half of a shape": (
        "Eine offene Kurve auswählen, die eine halbe Form zeichnet"
    ),
    "Select an outline": "Einen Umriss auswählen",
    "Select an outline that Make Symmetric made": (
        "Einen Umriss auswählen, der symmetrisch gemacht wurde"
    ),
    "Select an outline that was traced in the photo": (
        "Einen Umriss auswählen, der im Foto abgezeichnet wurde"
    ),
    "Select pieces on a sheet, or a sheet": ("Stücke auf einer Platte auswählen, oder eine Platte"),
    "Select the part at whose plane to cut": (
        "Das Teil auswählen, in dessen Ebene geschnitten wird"
    ),
    "Select the part that has the feature": "Das Teil auswählen, an dem das Merkmal ist",
    "Select the parts": "Die Teile auswählen",
    "Select the parts to cut back": "Die Teile auswählen, die zurückgeschnitten werden",
    "Select the test piece that fitted": "Das Probestück auswählen, das gepasst hat",
    "Select two outlines or more; the last one selected is changed": (
        "Zwei oder mehr Umrisse auswählen; der zuletzt gewählte wird geändert"
    ),
    "The library is empty": "Die Bibliothek ist leer",
    "The outline has changed since; ask for suggestions again": (
        "Der Umriss hat sich seither geändert; Vorschläge neu holen"
    ),
    "There are no joints": "Es gibt keine Verbindungen",
    "There are no test pieces": "Es gibt keine Probestücke",
    "There is no stock to remove": "Es gibt kein Material zu entfernen",
    "Use it in a 3D viewport": "In einer 3D-Ansicht benutzen",
}

KEYS = {
    "{what}   (Esc: Cancel)": "{what}   (Esc: Abbrechen)",
    "{what}   {done} of {wanted}   (Esc: Cancel)": (
        "{what}   {done} von {wanted}   (Esc: Abbrechen)"
    ),
    "{what}   {done} of {wanted} marked   (Backspace: Take Back, Esc: Cancel)": (
        "{what}   {done} von {wanted} markiert   (Rücktaste: Zurücknehmen, Esc: Abbrechen)"
    ),
    "{what}: {doing} {percent} %   (Esc: Stop)": ("{what}: {doing} {percent} %   (Esc: Anhalten)"),
    "Click inside the drawn line": "In die gezeichnete Linie klicken",
    "Click inside the part to trace": "In das Teil klicken, das abgezeichnet wird",
    "Click on both ends of a known length, as far apart as they go": (
        "Auf beide Enden einer bekannten Länge klicken, so weit auseinander wie möglich"
    ),
    "Click on the face to place the part on": "Auf die Fläche klicken, auf die das Teil kommt",
    "Click on the other part near the edge to stand along": (
        "Auf das andere Teil klicken, nahe der Kante, an der es stehen soll"
    ),
    "Click on the part near the edge that shall stand": (
        "Auf das Teil klicken, nahe der Kante, die stehen soll"
    ),
    "Click on the rectangle's corners in turn; from the first to the second is its width": (
        "Die Ecken des Rechtecks der Reihe nach anklicken; von der ersten zur zweiten ist "
        "die Breite"
    ),
    "Click on what does not belong to the part": "Auf das klicken, was nicht zum Teil gehört",
    "Click on what the trace missed": "Auf das klicken, was ausgelassen wurde",
    "Click the centre": "Die Mitte anklicken",
    "Click the centre, then a place on a mirror axis": (
        "Die Mitte anklicken, dann eine Stelle auf einer Spiegelachse"
    ),
    "Click two places on the axis": "Zwei Stellen auf der Achse anklicken",
    "Drag the mark to its place   (Release: Done, Esc: As Before)": (
        "Die Marke an ihre Stelle ziehen   (Loslassen: Fertig, Esc: Wie zuvor)"
    ),
    "Move the axis or centre   (Release: Done, Esc: As Before)": (
        "Achse oder Mitte verschieben   (Loslassen: Fertig, Esc: Wie zuvor)"
    ),
    "Move: Split   (Release: Done, Esc: Cancel)": (
        "Bewegen: Teilung   (Loslassen: Fertig, Esc: Abbrechen)"
    ),
    "Press on a mark and drag it to its place   (Esc: As Before)": (
        "Auf eine Marke drücken und sie an ihre Stelle ziehen   (Esc: Wie zuvor)"
    ),
    "Turn the axis   (Release: Done, Ctrl: Steps of 5°, Esc: As Before)": (
        "Die Achse drehen   (Loslassen: Fertig, Strg: 5°-Schritte, Esc: Wie zuvor)"
    ),
}

DRAWN = {
    "Kerf {size}": "Schnittfuge {size}",
    "Relief ⌀ {size}": "Freischnitt ⌀ {size}",
    "No path: see Check Before Cutting": "Kein Weg: siehe „Vor dem Schneiden prüfen“",
    "Overlap": "Überlappung",
    "Too Close": "Zu nah",
    "Off Sheet": "Neben der Platte",
    "Pinned": "Festgehalten",
    "kerf corrected": "Fuge ausgeglichen",
    "nominal": "Nennmaß",
    "Sheet {number}": "Platte {number}",
    "{number} more": "{number} weitere",
}
