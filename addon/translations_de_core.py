"""What the core refuses, in German: sentences without numbers or names in them."""

__all__ = ["REFUSED_BY_CORE"]

CORE = {
    "The clearance of a cross-lap must be a finite length in mm.": (
        "Das Spiel einer Überblattung muss eine endliche Länge in mm sein."
    ),
    "The end clearance of a cross-lap cannot be below 0 mm.": (
        "Das Spiel am Ende einer Überblattung kann nicht unter 0 mm sein."
    ),
    "The fixture does not reach this part, so there is no circle to clear. Move the "
    "part to a height where the fixture is.": (
        "Der Gegenstand reicht nicht bis zu diesem Teil, darum gibt es keinen Kreis. Das "
        "Teil in eine Höhe bewegen, in der der Gegenstand ist."
    ),
    "The axis runs along the part's plane and never goes through it. Choose a part that "
    "lies across the axis.": (
        "Die Achse läuft an der Ebene des Teils entlang und nie hindurch. Ein Teil wählen, "
        "das quer zur Achse liegt."
    ),
    "The fixture has no surface, only edges. Choose a mesh with faces.": (
        "Der Gegenstand hat keine Oberfläche, nur Kanten. Ein Netz mit Flächen wählen."
    ),
    "The fixture is too thin to be cut across. Give its axis by hand.": (
        "Der Gegenstand ist zu dünn für einen Schnitt. Seine Achse von Hand angeben."
    ),
    "The clearance to the fixture must be a finite length in mm.": (
        "Das Spiel zum Gegenstand muss eine endliche Länge in mm sein."
    ),
    "The fixture has no faces. Choose a mesh object with at least one.": (
        "Der Gegenstand hat keine Flächen. Ein Netzobjekt mit mindestens einer wählen."
    ),
    "The angle between two sheets lies between 0 and 180°.": (
        "Der Winkel zwischen zwei Platten liegt zwischen 0 und 180°."
    ),
    "The outline has no straight edge to stand on. Give it a straight foot, or place "
    "the part by hand.": (
        "Der Umriss hat keine gerade Kante zum Stehen. Ihm einen geraden Fuß geben, oder "
        "das Teil von Hand aufstellen."
    ),
    "The number, width and margins of tabs cannot be below 0.": (
        "Anzahl, Breite und Ränder von Zapfen können nicht unter 0 sein."
    ),
    "These numbers leave no tab or no slot. Make the tabs longer or wider.": (
        "Diese Zahlen lassen keinen Zapfen oder keinen Schlitz. Die Zapfen länger oder "
        "breiter machen."
    ),
    "No length was marked. Mark both ends of a known length in the photo.": (
        "Keine Länge wurde markiert. Beide Enden einer bekannten Länge im Foto markieren."
    ),
    "The corners lie beside the photo. Mark them on the photo.": (
        "Die Ecken liegen neben dem Foto. Auf dem Foto markieren."
    ),
    "Two edges run alongside and do not meet. Mark the corners in turn.": (
        "Zwei Kanten laufen nebeneinander her und treffen sich nicht. Die Ecken der Reihe "
        "nach markieren."
    ),
    "No regular grid shows in the photo. Fill more of the frame with the mat, avoid "
    "glare and blur, and photograph it again; or mark a length or a rectangle of known "
    "size.": (
        "Im Foto ist kein regelmäßiges Raster zu sehen. Mit mehr Matte im Bild, ohne Glanz "
        "und Unschärfe neu aufnehmen; oder eine Länge oder ein Rechteck bekannter Größe "
        "markieren."
    ),
    "The marked points lie on one line, so they do not tell how the bench is tilted. "
    "Mark points that span an area.": (
        "Die markierten Punkte liegen auf einer Linie und sagen nicht, wie die Unterlage "
        "geneigt ist. Punkte markieren, die eine Fläche aufspannen."
    ),
    "Nothing was marked. Mark a known length or rectangle in the photo.": (
        "Nichts wurde markiert. Eine bekannte Länge oder ein Rechteck im Foto markieren."
    ),
    "The true scale stored with this photo is damaged. Find the grid again.": (
        "Der gespeicherte wahre Maßstab dieses Fotos ist beschädigt. Das Raster neu finden."
    ),
    "The marks stored with this photo are damaged. Mark the length or rectangle again.": (
        "Die gespeicherten Marken dieses Fotos sind beschädigt. Länge oder Rechteck neu markieren."
    ),
    "The four corners do not go around a rectangle. Mark them in turn, one side after "
    "the other, and keep them apart.": (
        "Die vier Ecken gehen nicht um ein Rechteck herum. Der Reihe nach markieren, eine "
        "Seite nach der anderen, und auseinander halten."
    ),
    "The grid's lines are too faint to be measured. Photograph the mat in better light.": (
        "Die Linien des Rasters sind zu blass zum Messen. Die Matte in besserem Licht aufnehmen."
    ),
    "No regular ticks were found along the marked line. Mark on the ruler's ticks, "
    "zoomed in, or take the two marks as they are without locking on.": (
        "Entlang der markierten Linie wurden keine regelmäßigen Striche gefunden. "
        "Vergrößert auf den Strichen des Lineals markieren, oder die zwei Marken ohne "
        "Einrasten nehmen."
    ),
    "The photo looks along the bench. Photograph it more from above.": (
        "Das Foto sieht an der Unterlage entlang. Mehr von oben aufnehmen."
    ),
    "A mark lies beside the photo. Mark both ends again.": (
        "Eine Marke liegt neben dem Foto. Beide Enden neu markieren."
    ),
    "The file needs a name. Type one and save again.": (
        "Die Datei braucht einen Namen. Einen eintippen und neu speichern."
    ),
    "There is nothing to draw. Choose at least one part.": (
        "Es gibt nichts zu zeichnen. Mindestens ein Teil wählen."
    ),
    "There is no sheet to write. Lay out the sheets first.": (
        "Es gibt keine Platte zu schreiben. Zuerst die Platten belegen."
    ),
    "No kind of file is chosen. Choose DXF, SVG, the paper template or the cut list.": (
        "Keine Dateiart ist gewählt. DXF, SVG, Papiervorlage oder Schnittliste wählen."
    ),
    "There are no steps to draw. Check the assembly first.": (
        "Es gibt keine Schritte zu zeichnen. Zuerst den Zusammenbau prüfen."
    ),
    "Moved that far, edges of the part run into each other. Move them by less.": (
        "So weit versetzt, laufen Kanten des Teils ineinander. Weniger versetzen."
    ),
    "Half a shape needs two nodes or more, all of them numbers.": (
        "Eine halbe Form braucht zwei oder mehr Knoten, alle mit Zahlen."
    ),
    "The two ends of the half meet, so they make no axis. Move one along the axis.": (
        "Die zwei Enden der Hälfte treffen sich, darum machen sie keine Achse. Eines an der "
        "Achse entlang bewegen."
    ),
    "The half runs along its own axis. Draw it to one side of its ends.": (
        "Die Hälfte läuft auf ihrer eigenen Achse. Sie auf einer Seite ihrer Enden zeichnen."
    ),
    "The outline stored with this object is damaged. Trace or draw it again.": (
        "Der gespeicherte Umriss dieses Objekts ist beschädigt. Neu abzeichnen oder zeichnen."
    ),
    "These suggestions contradict each other, so no outline has them all. Accept them "
    "one at a time.": (
        "Diese Vorschläge widersprechen sich, darum hat kein Umriss sie alle. Einzeln annehmen."
    ),
    "A sector sweeps more than 0° and less than 360°; use a ring for all.": (
        "Ein Sektor geht über mehr als 0° und weniger als 360°; für alles einen Ring nehmen."
    ),
    "The axis does not cross the outline. Move the axis so that it passes the shape.": (
        "Die Achse kreuzt den Umriss nicht. Die Achse so verschieben, dass sie durch die Form geht."
    ),
    "Some holes turn onto each other but do not mirror. Leave the mirror out, or add "
    "the missing holes.": (
        "Einige Löcher drehen sich aufeinander, spiegeln sich aber nicht. Den Spiegel "
        "weglassen, oder die fehlenden Löcher hinzufügen."
    ),
    "A mirror axis does not cross the outline. Give the centre, or leave the mirror out.": (
        "Eine Spiegelachse kreuzt den Umriss nicht. Die Mitte angeben, oder den Spiegel weglassen."
    ),
    "Nothing of the part is left. Remove less.": "Vom Teil bleibt nichts. Weniger wegnehmen.",
    "The photo shows no contrast: every place has the same colour. Take it again in "
    "better light, with the part on a bench of another colour.": (
        "Das Foto zeigt keinen Kontrast: jede Stelle hat dieselbe Farbe. In besserem Licht "
        "neu aufnehmen, das Teil auf einer Unterlage anderer Farbe."
    ),
    "The surface you clicked on runs to the edge of the photo, so it is the bench and "
    "no part, or the part is cut off. Click on the part, or take the photo with all of "
    "it in.": (
        "Die angeklickte Fläche läuft bis an den Rand des Fotos, ist also die Unterlage und "
        "kein Teil, oder das Teil ist abgeschnitten. Auf das Teil klicken, oder es ganz "
        "aufnehmen."
    ),
    "What surrounds the place you clicked has the same colour, with only a printed line "
    "between. That is the bench. Click on the part.": (
        "Was die angeklickte Stelle umgibt, hat dieselbe Farbe, mit nur einer gedruckten "
        "Linie dazwischen. Das ist die Unterlage. Auf das Teil klicken."
    ),
    "The part has no area to cut. Check its outline.": (
        "Das Teil hat keine Fläche zu schneiden. Seinen Umriss prüfen."
    ),
    "There is nothing to lay out. Choose at least one part.": (
        "Es gibt nichts auszulegen. Mindestens ein Teil wählen."
    ),
    "The margin and the gap between pieces are 0 mm or more.": (
        "Rand und Spalt zwischen Stücken sind 0 mm oder mehr."
    ),
    "A piece finds no place on an empty sheet. Use a larger sheet.": (
        "Ein Stück findet auf einer leeren Platte keinen Platz. Eine größere Platte nehmen."
    ),
    "Type a length, such as 3.2 mm or 1 1/8 in.": (
        "Eine Länge eintippen, etwa 3.2 mm oder 1 1/8 in."
    ),
}

REFUSED_BY_CORE = {**CORE}
