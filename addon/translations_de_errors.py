"""What the window refuses, in German: sentences without numbers or names in them."""

__all__ = ["REFUSED"]

WINDOW = {
    "The part to stand on is gone. Pick the edges again.": (
        "Das Teil, auf dem es stehen soll, ist weg. Die Kanten neu wählen."
    ),
    "The photo has no true scale yet. Find it in the Bench panel first.": (
        "Das Foto hat noch keinen wahren Maßstab. Zuerst in der Leiste Unterlage finden."
    ),
    "The scale comes from this reference alone. Find the scale by another one first.": (
        "Der Maßstab kommt allein von diesem Bezug. Ihn zuerst durch einen anderen finden."
    ),
    "The mark would lie beside the photo. Move it to a place on it.": (
        "Die Marke läge neben dem Foto. An eine Stelle darauf bewegen."
    ),
    "No rectangle was marked. Mark its four corners in the photo.": (
        "Kein Rechteck wurde markiert. Seine vier Ecken im Foto markieren."
    ),
    "There is no photo in the scene. Add a photo first.": (
        "Es gibt kein Foto in der Szene. Zuerst eines hinzufügen."
    ),
    "The hand-cut outline is gone, so its axis cannot be moved.": (
        "Der von Hand geschnittene Umriss ist weg, darum lässt sich seine Achse nicht verschieben."
    ),
    "What this finding was about is gone. Check again.": (
        "Worum es in diesem Befund ging, ist weg. Neu prüfen."
    ),
    "There is no such finding. Check the assembly again.": (
        "Diesen Befund gibt es nicht. Den Zusammenbau neu prüfen."
    ),
    "Only one outline is selected. Select the others too.": (
        "Nur ein Umriss ist ausgewählt. Die anderen auch auswählen."
    ),
    "There is no such finding. Check the parts and sheets again.": (
        "Diesen Befund gibt es nicht. Teile und Platten neu prüfen."
    ),
    "There is no fixture. Select the object to be fitted and use it.": (
        "Es gibt keinen Gegenstand. Das Objekt auswählen, um das gepasst wird, und es nehmen."
    ),
    "Choose the object whose z axis is the axis, or let it be found.": (
        "Das Objekt wählen, dessen Z-Achse die Achse ist, oder sie finden lassen."
    ),
    "There is no such joint any more.": "Diese Verbindung gibt es nicht mehr.",
    "A part of this joint was deleted. Remove the joint, or undo.": (
        "Ein Teil dieser Verbindung wurde gelöscht. Die Verbindung entfernen, oder "
        "rückgängig machen."
    ),
    "The library belongs to the add-on's preferences, which are not loaded.": (
        "Die Bibliothek gehört zu den Einstellungen der Erweiterung, und die sind nicht geladen."
    ),
    "That click was outside the 3D viewport. Click inside it.": (
        "Das war neben der 3D-Ansicht. In die Ansicht klicken."
    ),
    "The view looks along the bench. Look down on the photo and click.": (
        "Der Blick geht an der Unterlage entlang. Von oben auf das Foto sehen und klicken."
    ),
    "That click was beside the photo. Click on the photo.": (
        "Das war neben dem Foto. Auf das Foto klicken."
    ),
    "An outline has changed and the edge is gone. Pick the edges again.": (
        "Ein Umriss hat sich geändert, und die Kante ist weg. Die Kanten neu wählen."
    ),
    "The view looks along the outline's plane. Look down on it and click.": (
        "Der Blick geht an der Ebene des Umrisses entlang. Von oben darauf sehen und klicken."
    ),
    "There is no part to lay out. Make a part first.": (
        "Es gibt kein Teil auszulegen. Zuerst ein Teil machen."
    ),
    "No order of assembly is known. Check the assembly first.": (
        "Keine Reihenfolge des Zusammenbaus ist bekannt. Zuerst den Zusammenbau prüfen."
    ),
    "Something has changed since the order was found. Check again.": (
        "Seit die Reihenfolge gefunden wurde, hat sich etwas geändert. Neu prüfen."
    ),
    "The outline has changed since. Ask for suggestions again.": (
        "Der Umriss hat sich seither geändert. Vorschläge neu holen."
    ),
    "The axis or centre comes from one other object. Select it, then the outline.": (
        "Achse oder Mitte kommen von einem anderen Objekt. Dieses auswählen, dann den Umriss."
    ),
    "The two places are one, so they give no axis. Click farther apart.": (
        "Die zwei Stellen sind eine, darum geben sie keine Achse. Weiter auseinander klicken."
    ),
    "Add a stock first: the series is cut from it.": (
        "Zuerst ein Material anlegen: die Reihe wird daraus geschnitten."
    ),
    "Select the part whose feature is to step, or make coupons.": (
        "Das Teil auswählen, dessen Merkmal abgestuft wird, oder kleine Stücke machen."
    ),
    "Nothing of that number is wrong on the sheets any more.": (
        "Unter dieser Nummer stimmt auf den Platten nichts mehr nicht."
    ),
    "No folder was chosen. Choose a folder for the cut files.": (
        "Kein Ordner wurde gewählt. Einen Ordner für die Schnittdateien wählen."
    ),
    "There is no photo to look at. Add one first.": (
        "Es gibt kein Foto zum Ansehen. Zuerst eines hinzufügen."
    ),
    "There are no parts to look at. Make one first.": (
        "Es gibt keine Teile zum Ansehen. Zuerst eines machen."
    ),
    "There are no sheets to look at. Lay them out first.": (
        "Es gibt keine Platten zum Ansehen. Zuerst belegen."
    ),
    "No axis was given. Drag one of the handles on the outline's axis.": (
        "Keine Achse wurde angegeben. Einen der Griffe an der Achse des Umrisses ziehen."
    ),
    "No file was chosen. Choose a DXF or SVG file.": (
        "Keine Datei wurde gewählt. Eine DXF- oder SVG-Datei wählen."
    ),
    "No outline is selected. Select the outline to make symmetric.": (
        "Kein Umriss ist ausgewählt. Den auswählen, der symmetrisch werden soll."
    ),
    "No place was clicked. Start Make Symmetric anew and click, or choose Find.": (
        "Keine Stelle wurde angeklickt. „Symmetrisch machen“ neu beginnen und klicken, oder "
        "finden lassen."
    ),
    "No place inside the part was given. Click on the part in the photo.": (
        "Keine Stelle im Teil wurde angegeben. Im Foto auf das Teil klicken."
    ),
    "No place was given. Click inside the drawn line in the photo.": (
        "Keine Stelle wurde angegeben. Im Foto in die gezeichnete Linie klicken."
    ),
    "No place was given. Click in the photo.": (
        "Keine Stelle wurde angegeben. In das Foto klicken."
    ),
    "No folder was chosen. Choose a folder for the test piece.": (
        "Kein Ordner wurde gewählt. Einen Ordner für das Probestück wählen."
    ),
    "Push the strips together, measure the gap they leave and type it.": (
        "Die Streifen zusammenschieben, den Spalt messen, der bleibt, und ihn eintippen."
    ),
}

REFUSED = {**WINDOW}
