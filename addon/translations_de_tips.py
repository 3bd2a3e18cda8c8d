"""Tooltips in German: job, photo, bench and outline."""

__all__ = ["TIPS"]

GUIDE = {
    "35 mm equivalent the camera wrote into the photo; 0 where it wrote none": (
        "Auf Kleinbild bezogen, wie die Kamera ins Foto schrieb; 0, wo sie nichts schrieb"
    ),
    "Add a photo of a flat mock-up lying on a gridded mat or beside something of known size": (
        "Ein Foto eines flachen Musters hinzufügen, das auf einer Rastermatte oder neben "
        "etwas Bekanntem liegt"
    ),
    "Aslant on the parts and their fixture": "Schräg auf die Teile und ihren Gegenstand",
    "Cut the view open at the selected part's plane; again to close it": (
        "Die Ansicht in der Ebene des gewählten Teils aufschneiden; noch einmal schließt sie"
    ),
    "Down on the photo": "Von oben auf das Foto",
    "Down on the sheets": "Von oben auf die Platten",
    "Hide the list of steps; the tab's first button shows it again": (
        "Die Liste der Schritte ausblenden; der erste Knopf des Reiters zeigt sie wieder"
    ),
    "Open the manual in a text editor beside the viewport, at this stage's section": (
        "Das Handbuch in einem Texteditor neben der Ansicht öffnen, beim Abschnitt dieser Stufe"
    ),
    "Start with the example: a cardboard rib for a globe's cradle on a 10 mm mat": (
        "Mit dem Beispiel beginnen: eine Papprippe für die Wiege eines Globus auf einer 10-mm-Matte"
    ),
    "Turn the view to one stage of the job and show all of it": (
        "Die Ansicht auf eine Stufe des Auftrags richten und alles davon zeigen"
    ),
}

BENCH = {
    "A printed grid the mock-up is lying on; the surest": (
        "Ein gedrucktes Raster, auf dem das Muster liegt; das Sicherste"
    ),
    "A ruler or another known length: mark both ends": (
        "Ein Lineal oder eine andere bekannte Länge: beide Enden markieren"
    ),
    "A sheet, a card or grid squares: mark its four corners": (
        "Ein Blatt, eine Karte oder Rasterfelder: die vier Ecken markieren"
    ),
    "Distance between the finest full grid lines": (
        "Abstand zwischen den feinsten durchgehenden Rasterlinien"
    ),
    "Draw over the photo how far each crossing of the grid misses the fit": (
        "Über das Foto zeichnen, wie weit jede Kreuzung des Rasters danebenliegt"
    ),
    "Draw what was marked over the photo while the photo is selected": (
        "Markiertes über das Foto zeichnen, solange das Foto ausgewählt ist"
    ),
    "Find the mat's printed grid in the photo and lay the photo out at true scale": (
        "Das gedruckte Raster der Matte im Foto finden und das Foto im wahren Maßstab auslegen"
    ),
    "Four corners in turn, x and y of each in pixels of the photo": (
        "Vier Ecken der Reihe nach, je x und y in Pixeln des Fotos"
    ),
    "From the first marked corner to the second": "Von der ersten markierten Ecke zur zweiten",
    "From the second marked corner to the third": "Von der zweiten markierten Ecke zur dritten",
    "Grid squares between the marks": "Rasterfelder zwischen den Marken",
    "How high the reference lies above the mat: a thick ruler's scale, a card on the mock-up": (
        "Wie hoch der Bezug über der Matte liegt: die Teilung eines dicken Lineals, eine "
        "Karte auf dem Muster"
    ),
    "How many times as large as the mock-up the parts are: for a mock-up built at 1:10 "
    "type 10. Outlines traced are enlarged, thickness is not": (
        "Wievielmal so groß wie das Muster die Teile sind: für ein Muster im Maßstab 1:10 "
        "ist es 10. Abgezeichnete Umrisse werden vergrößert, die Dicke nicht"
    ),
    "In pixels of the photo": "In Pixeln des Fotos",
    "Its place in the list; -1 is the grid": "Die Stelle in der Liste; -1 ist das Raster",
    "Mark another known length: lengths give the scale together, anything else is held against": (
        "Noch eine bekannte Länge markieren: Längen geben den Maßstab zusammen, anderes "
        "wird damit verglichen"
    ),
    "Mark both ends of a known length in the photo, type it and lay the photo out at scale": (
        "Beide Enden einer bekannten Länge im Foto markieren, sie eintippen und das Foto im "
        "Maßstab auslegen"
    ),
    "Mark the four corners of a sheet, card or grid field and lay the photo out at true scale": (
        "Die vier Ecken von Blatt, Karte oder Rasterfeld markieren und das Foto im wahren "
        "Maßstab auslegen"
    ),
    "Move the marked corners to where the edges near them meet, to a part of a pixel": (
        "Die markierten Ecken dorthin rücken, wo sich die Kanten nahebei treffen, auf "
        "Bruchteile eines Pixels"
    ),
    "Press on a mark, drag it to its place and let go; the scale follows": (
        "Auf eine Marke drücken, sie an ihre Stelle ziehen und loslassen; der Maßstab folgt"
    ),
    "Take this reference away; what is left of its kind gives the scale": (
        "Diesen Bezug wegnehmen; was von seiner Art bleibt, gibt den Maßstab"
    ),
    "The length lies on a ruler: find its ticks between the marks and measure by all of them": (
        "Die Länge liegt auf einem Lineal: seine Striche zwischen den Marken finden und "
        "über alle messen"
    ),
    "Thickness of the mock-up: how high its top face lies above the mat. A face nearer "
    "to the camera looks larger; this corrects it": (
        "Dicke des Musters: wie hoch seine Oberseite über der Matte liegt. Was der Kamera "
        "näher ist, sieht größer aus; das gleicht es aus"
    ),
    "True distance between the two marks": "Wahrer Abstand zwischen den zwei Marken",
    "Type width and height": "Breite und Höhe eintippen",
    "What in the photo has a known size": "Was im Foto eine bekannte Größe hat",
    "What the corners belong to": "Wozu die Ecken gehören",
    "Which mark to move, counted through all references from 0": (
        "Welche Marke bewegt wird, durch alle Bezüge ab 0 gezählt"
    ),
    "Whole squares of a printed grid": "Ganze Felder eines gedruckten Rasters",
}

OUTLINE = {
    "A curve's two ends, or an object's place and Y axis": (
        "Die zwei Enden einer Kurve, oder Ort und Y-Achse eines Objekts"
    ),
    "A place on the axis, or the centre, in the outline's own millimetres": (
        "Eine Stelle auf der Achse, oder die Mitte, in Millimetern des Umrisses"
    ),
    "Add a part of a ring or disc at the 3D cursor, which becomes its centre": (
        "Ein Stück Ring oder Scheibe am 3D-Cursor hinzufügen, der seine Mitte wird"
    ),
    "Add a rectangle at the 3D cursor, with round corners if a radius is given": (
        "Ein Rechteck am 3D-Cursor hinzufügen, mit runden Ecken, wenn ein Radius angegeben ist"
    ),
    "Add a regular polygon at the 3D cursor": ("Ein regelmäßiges Vieleck am 3D-Cursor hinzufügen"),
    "Add a slot with round ends at the 3D cursor; its length is over all": (
        "Ein Langloch am 3D-Cursor hinzufügen; die Länge ist über alles"
    ),
    "Add a true circle at the 3D cursor": "Einen wahren Kreis am 3D-Cursor hinzufügen",
    "Add a flat ring at the 3D cursor": "Einen flachen Ring am 3D-Cursor hinzufügen",
    "Add the mirror image to half a shape, about the line through the open curve's two ends": (
        "Einer halben Form ihr Spiegelbild hinzufügen, an der Linie durch die zwei Enden "
        "der offenen Kurve"
    ),
    "Add what the trace missed: click on it in the photo": (
        "Hinzunehmen, was ausgelassen wurde: im Foto darauf klicken"
    ),
    "All copies count alike, which moves the outline least": (
        "Alle Kopien zählen gleich, was den Umriss am wenigsten bewegt"
    ),
    "Both sides of an axis are alike": "Beide Seiten einer Achse sind gleich",
    "Direction of the axis in degrees": "Richtung der Achse in Grad",
    "Direction of the mirror axis": "Richtung der Spiegelachse",
    "Draw the axis or centre with handles that move and turn it": (
        "Achse oder Mitte zeichnen, mit Griffen, die sie verschieben und drehen"
    ),
    "Draw the hand-cut outline dashed, and how far it is off many times enlarged": (
        "Den von Hand geschnittenen Umriss gestrichelt zeichnen, und stark vergrößert, wie "
        "weit er daneben liegt"
    ),
    "Few smooth curves": "Wenige glatte Kurven",
    "How far an edge may move: about as much as cutting and measuring leave open": (
        "Wie weit sich eine Kante bewegen darf: etwa so viel, wie Schneiden und Messen offenlassen"
    ),
    "How far it goes round": "Wie weit es herumgeht",
    "How far the fitted lines and arcs may stay from the traced edge": (
        "Wie weit eingepasste Geraden und Bögen von der abgezeichneten Kante abweichen dürfen"
    ),
    "How many times the shape repeats in a turn": (
        "Wie oft sich die Form in einer Umdrehung wiederholt"
    ),
    "It turns onto itself and mirrors, as a star": (
        "Es dreht sich in sich und spiegelt sich, wie ein Stern"
    ),
    "Join the active outline with the other selected ones, cut them from it, or keep the common": (
        "Den aktiven Umriss mit den anderen gewählten vereinen, sie von ihm abziehen oder "
        "das Gemeinsame behalten"
    ),
    "Leave the other outlines in place": "Die anderen Umrisse stehen lassen",
    "Lines and arcs wherever they do": "Geraden und Bögen, wo immer sie genügen",
    "List right angles, parallels, equal radii and common centres that the outline nearly has": (
        "Rechte Winkel, Parallelen, gleiche Radien und gemeinsame Mitten aufführen, die der "
        "Umriss beinahe hat"
    ),
    "Make a symmetric outline from the hand-cut one, and say how far off the hand was": (
        "Aus dem von Hand geschnittenen einen symmetrischen Umriss machen und sagen, wie "
        "weit die Hand danebenlag"
    ),
    "Make the outline what is suggested; everything else moves as little as can be": (
        "Den Umriss wie vorgeschlagen machen; alles andere bewegt sich so wenig wie möglich"
    ),
    "Millimetres where a DXF says nothing, 96 to the inch in an SVG": (
        "Millimeter, wo eine DXF nichts sagt; 96 auf den Zoll in einer SVG"
    ),
    "Move or turn the axis of a symmetric outline, and make it symmetric about it again": (
        "Die Achse eines symmetrischen Umrisses verschieben oder drehen und ihn wieder "
        "symmetrisch dazu machen"
    ),
    "One outline of all that are selected": "Ein Umriss aus allen gewählten",
    "One unit in the file is a centimetre": "Eine Einheit in der Datei ist ein Zentimeter",
    "One unit in the file is a metre": "Eine Einheit in der Datei ist ein Meter",
    "One unit in the file is a millimetre": "Eine Einheit in der Datei ist ein Millimeter",
    "One unit in the file is an inch": "Eine Einheit in der Datei ist ein Zoll",
    "Open ends at most this far apart are joined": (
        "Offene Enden, die höchstens so weit auseinander sind, werden verbunden"
    ),
    "Place in pixels of the photo from its top left": ("Stelle in Pixeln des Fotos von links oben"),
    "Read every closed shape of a DXF or SVG file as an outline, and say what was left out": (
        "Jede geschlossene Form einer DXF- oder SVG-Datei als Umriss lesen und sagen, was "
        "ausgelassen wurde"
    ),
    "Remove what the trace grabbed, such as tape or a mark: click on it in the photo": (
        "Wegnehmen, was mitgefasst wurde, etwa Klebeband oder ein Strich: im Foto darauf klicken"
    ),
    "The active outline without what the others cover": (
        "Der aktive Umriss ohne das, was die anderen bedecken"
    ),
    "The best axis or centre is found": "Die beste Achse oder Mitte wird gefunden",
    "The diameter is that of the circle inside, as a caliper reads it": (
        "Der Durchmesser ist der des Innenkreises, wie ihn eine Schieblehre misst"
    ),
    "The diameter is that of the circle through the corners": (
        "Der Durchmesser ist der des Kreises durch die Ecken"
    ),
    "Through the 3D cursor": "Durch den 3D-Cursor",
    "Through the middle of the shape": "Durch die Mitte der Form",
    "Through two places you click; a turn's centre comes first": (
        "Durch zwei angeklickte Stellen; die Mitte einer Drehung zuerst"
    ),
    "Trace the edge of the part you click on in the photo": (
        "Die Kante des Teils abzeichnen, auf das im Foto geklickt wird"
    ),
    "Trace the middle of a closed pen line drawn on paper: click inside it, or on it": (
        "Die Mitte einer geschlossenen Stiftlinie auf Papier abzeichnen: hineinklicken oder darauf"
    ),
    "Turning by a part of a full turn changes nothing": (
        "Drehen um einen Teil einer vollen Drehung ändert nichts"
    ),
    "What is narrower is a mark on the part and no hole": (
        "Was schmaler ist, ist ein Strich auf dem Teil und kein Loch"
    ),
    "What lies left of the axis, or the sector at the first corner": (
        "Was links der Achse liegt, oder der Sektor an der ersten Ecke"
    ),
    "What lies right of the axis, or the next sector": (
        "Was rechts der Achse liegt, oder der nächste Sektor"
    ),
    "What the active outline and the others all cover": (
        "Was der aktive Umriss und alle anderen bedecken"
    ),
    "Where it begins, counter-clockwise from the right": (
        "Wo es beginnt, gegen den Uhrzeigersinn von rechts"
    ),
    "Which one, counted from 0; -1 for all at once": (
        "Welcher, ab 0 gezählt; -1 für alle auf einmal"
    ),
    "While half a shape is drawn as an open curve, show the whole about its ends": (
        "Solange eine halbe Form als offene Kurve gezeichnet wird, das Ganze um ihre Enden zeigen"
    ),
    "Write sizes on the outline; in Edit Mode those of what is selected": (
        "Maße an den Umriss schreiben; im Bearbeitungsmodus die der Auswahl"
    ),
}

TIPS = {**GUIDE, **BENCH, **OUTLINE}
