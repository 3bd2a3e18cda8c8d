"""What is told in German: work going on, and reports."""

__all__ = ["SAID"]

WORKING = {
    "Checked": "Geprüft",
    "Checking parts": "Teile werden geprüft",
    "Checking sheets": "Platten werden geprüft",
    "Correcting the outline": "Umriss wird berichtigt",
    "Counting the ruler's ticks": "Striche des Lineals werden gezählt",
    "Filling the section": "Schnitt wird gefüllt",
    "Finding the axis": "Achse wird gesucht",
    "Fitting lines and arcs": "Geraden und Bögen werden eingepasst",
    "Following the grid's lines": "Rasterlinien werden verfolgt",
    "Laid out": "Belegt",
    "Looking for the edges": "Kanten werden gesucht",
    "Looking for the grid": "Raster wird gesucht",
    "Looking for the part": "Teil wird gesucht",
    "Looking for the pen line": "Stiftlinie wird gesucht",
    "Looking for what was meant": "Gemeintes wird gesucht",
    "Measuring every line": "Jede Linie wird gemessen",
    "Measuring the fixture": "Gegenstand wird gemessen",
    "Measuring the layout": "Belegung wird gemessen",
    "Order found": "Reihenfolge gefunden",
    "Packing the picture": "Bild wird gepackt",
    "Photo straightened": "Foto entzerrt",
    "Projecting the surface": "Oberfläche wird projiziert",
    "Putting the files in place": "Dateien werden abgelegt",
    "Reading the edge": "Kante wird gelesen",
    "Reading the file": "Datei wird gelesen",
    "Reading the holes": "Löcher werden gelesen",
    "Reading the middle of the line": "Mitte der Linie wird gelesen",
    "Reading the photo": "Foto wird gelesen",
    "Sides chosen": "Seiten gewählt",
    "Silhouette ready": "Schattenriss fertig",
    "Standing the part": "Teil wird aufgestellt",
    "Straightening the photo": "Foto wird entzerrt",
    "Taking the parts apart on paper": "Teile werden auf dem Papier zerlegt",
    "Traced": "Abgezeichnet",
    "Turning it upright": "Es wird aufrecht gestellt",
    "Turning joints": "Verbindungen werden gedreht",
    "Turning the fixture into the part's plane": ("Gegenstand wird in die Ebene des Teils gedreht"),
}

REPORTS = {
    "Added {name}, {width} × {height} px.": "{name} hinzugefügt, {width} × {height} px.",
    "The start-up cube stood over it and is hidden; Alt H shows it again.": (
        "Der Startwürfel stand darüber und ist ausgeblendet; Alt H zeigt ihn wieder."
    ),
    "{names} stands over it: move the photo, or hide that with H.": (
        "{names} steht darüber: das Foto verschieben oder jenes mit H ausblenden."
    ),
    "Corrected; nothing moved by more than {size}.": (
        "Berichtigt; nichts hat sich um mehr als {size} verschoben."
    ),
    "Frames 1 to {last} on the timeline. Press Play.": (
        "Bilder 1 bis {last} auf der Zeitleiste. Auf Abspielen drücken."
    ),
    "Grid found: {number} crossings, tilt {tilt}°.": (
        "Raster gefunden: {number} Kreuzungen, Neigung {tilt}°."
    ),
    "Least gap to the fixture {size}.": "Kleinster Spalt zum Gegenstand {size}.",
    "Length taken by {number} ticks: {size} mm in a pixel.": (
        "Länge über {number} Striche genommen: {size} mm je Pixel."
    ),
    "Length taken: {size} mm in a pixel.": "Länge genommen: {size} mm je Pixel.",
    "Mark moved: {off} off by the scale found.": (
        "Marke verschoben: nach dem gefundenen Maßstab {off} daneben."
    ),
    "No overlaps.": "Keine Überlappungen.",
    "Nothing better was found; every piece stays where it lies.": (
        "Nichts Besseres gefunden; jedes Stück bleibt, wo es liegt."
    ),
    "Nothing to suggest within {within}, the outline's doubt.": (
        "Nichts vorzuschlagen innerhalb von {within}, der Unsicherheit des Umrisses."
    ),
    "Nothing was saved. {counts}, first: {sentence} The File panel lists them; Save "
    "Anyway saves all the same.": (
        "Nichts wurde gespeichert. {counts}, zuerst: {sentence} Die Leiste Datei führt sie "
        "auf; „Trotzdem speichern“ speichert dennoch."
    ),
    "Now {what}.": "Jetzt {what}.",
    "R12 names no unit: it is {unit}; measure its square.": (
        "R12 nennt keine Einheit: es ist {unit}; das Quadrat nachmessen."
    ),
    "Rectangle taken: tilt {tilt}°.": "Rechteck genommen: Neigung {tilt}°.",
    "Reference removed.": "Bezug entfernt.",
    "Reference removed: {size} mm in a pixel.": "Bezug entfernt: {size} mm je Pixel.",
    "References disagree by more than their doubts; the Bench panel tells how.": (
        "Die Bezüge widersprechen sich um mehr als ihre Unsicherheit; die Leiste Unterlage "
        "sagt, wie."
    ),
    "Ring with a bore of {size}.": "Ring mit einer Bohrung von {size}.",
    "The kerf is {kerf} ±{doubt}.": "Die Schnittfuge ist {kerf} ±{doubt}.",
    "The length is {off} mm off by the scale found.": (
        "Die Länge liegt nach dem gefundenen Maßstab um {off} mm daneben."
    ),
    "The mat's lines are 10 mm apart, the card is 5 mm thick. Find Grid.": (
        "Die Linien der Matte sind 10 mm auseinander, die Pappe ist 5 mm dick. Jetzt das "
        "Raster finden."
    ),
    "The outline cannot be read. Look at it in Edit Mode.": (
        "Der Umriss kann nicht gelesen werden. Im Bearbeitungsmodus nachsehen."
    ),
    "There is no mark here. Press on one of the crosses.": (
        "Hier ist keine Marke. Auf eines der Kreuze drücken."
    ),
    "A dark line at ({x}, {y}) px was taken for the seam to another part. If it is drawn on this "
    "part, use Add to Trace beyond it.": (
        "Eine dunkle Linie bei ({x}, {y}) px wurde für die Fuge zu einem anderen Teil gehalten. "
        "Ist sie auf diesem Teil gezeichnet, jenseits davon „Zum Umriss hinzunehmen“ benutzen."
    ),
    "A dark line at ({x}, {y}) px was taken for one drawn on the part. If two parts touch there, "
    "use Remove from Trace on the other one.": (
        "Eine dunkle Linie bei ({x}, {y}) px wurde für eine auf dem Teil gezeichnete gehalten. "
        "Berühren sich dort zwei Teile, auf dem anderen „Vom Umriss wegnehmen“ benutzen."
    ),
    "The part hangs together by a narrow neck at ({x}, {y}) px. If two parts touch there, use "
    "Remove from Trace on the other one.": (
        "Das Teil hängt bei ({x}, {y}) px an einem schmalen Hals zusammen. Berühren sich dort zwei "
        "Teile, auf dem anderen „Vom Umriss wegnehmen“ benutzen."
    ),
    "Traced again: {what}.": "Neu abgezeichnet: {what}.",
    "Traced: {what}.": "Abgezeichnet: {what}.",
    "What you had changed on it by hand was replaced; Undo brings it back.": (
        "Was daran von Hand geändert war, wurde ersetzt; Rückgängig holt es zurück."
    ),
    "Whole: {what}.": "Ganz: {what}.",
    "{counts}, see the File panel.": "{counts}, siehe die Leiste Datei.",
    "{feature}: drawn at {size}.": "{feature}: gezeichnet mit {size}.",
    "{number} caution": "{number} Warnung",
    "{number} cautions": "{number} Warnungen",
    "{number} cross-lap cut.": "{number} Überblattung geschnitten.",
    "{number} cross-laps cut.": "{number} Überblattungen geschnitten.",
    "{number} file of the test piece in “{folder}”.": (
        "{number} Datei des Probestücks in „{folder}“."
    ),
    "{number} file saved in “{folder}”, read back and measured.": (
        "{number} Datei in „{folder}“ gespeichert, zurückgelesen und gemessen."
    ),
    "{number} files of the test piece in “{folder}”.": (
        "{number} Dateien des Probestücks in „{folder}“."
    ),
    "{number} files saved in “{folder}”, read back and measured.": (
        "{number} Dateien in „{folder}“ gespeichert, zurückgelesen und gemessen."
    ),
    "{number} hole": "{number} Loch",
    "{number} holes": "{number} Löcher",
    "{number} joint removed.": "{number} Verbindung entfernt.",
    "{number} joints removed.": "{number} Verbindungen entfernt.",
    "{number} lengths taken together: {size} mm in a pixel.": (
        "{number} Längen zusammengenommen: {size} mm je Pixel."
    ),
    "{number} mirror image added.": "{number} Spiegelbild hinzugefügt.",
    "{number} mirror images added.": "{number} Spiegelbilder hinzugefügt.",
    "{number} more finding in the list.": "{number} weiterer Befund in der Liste.",
    "{number} more findings in the list.": "{number} weitere Befunde in der Liste.",
    "{number} more part around the axis.": "{number} weiteres Teil um die Achse.",
    "{number} more parts around the axis.": "{number} weitere Teile um die Achse.",
    "{number} outline read.": "{number} Umriss gelesen.",
    "{number} outlines read.": "{number} Umrisse gelesen.",
    "{number} part cut to the fixture.": "{number} Teil am Gegenstand ausgeschnitten.",
    "{number} part rebuilt.": "{number} Teil neu gebaut.",
    "{number} parts cut to the fixture.": "{number} Teile am Gegenstand ausgeschnitten.",
    "{number} parts rebuilt.": "{number} Teile neu gebaut.",
    "{number} piece covers a doubt of ±{doubt}.": (
        "{number} Stück deckt eine Unsicherheit von ±{doubt} ab."
    ),
    "{number} piece free to move.": "{number} Stück ist wieder frei.",
    "{number} piece on {sheets}.": "{number} Stück auf {sheets}.",
    "{number} piece pinned: laying out and improving leave it where it lies.": (
        "{number} Stück festgehalten: Belegen und Verbessern lassen es, wo es liegt."
    ),
    "{number} pieces cover a doubt of ±{doubt}.": (
        "{number} Stücke decken eine Unsicherheit von ±{doubt} ab."
    ),
    "{number} pieces free to move.": "{number} Stücke sind wieder frei.",
    "{number} pieces on {sheets}.": "{number} Stücke auf {sheets}.",
    "{number} pieces pinned: laying out and improving leave them where they lie.": (
        "{number} Stücke festgehalten: Belegen und Verbessern lassen sie, wo sie liegen."
    ),
    "{number} sheet": "{number} Platte",
    "{number} sheets": "{number} Platten",
    "{number} stop": "{number} Hindernis",
    "{number} stops": "{number} Hindernisse",
    "{number} suggestion within {within}, the outline's doubt.": (
        "{number} Vorschlag innerhalb von {within}, der Unsicherheit des Umrisses."
    ),
    "{number} suggestions within {within}, the outline's doubt.": (
        "{number} Vorschläge innerhalb von {within}, der Unsicherheit des Umrisses."
    ),
    "{number} tabbed joint cut.": "{number} Zapfenverbindung geschnitten.",
    "{number} tabbed joints cut.": "{number} Zapfenverbindungen geschnitten.",
    "{number} test piece removed.": "{number} Probestück entfernt.",
    "{number} test piece. Lay out the sheets and cut it.": (
        "{number} Probestück. Platten belegen und schneiden."
    ),
    "{number} test pieces removed.": "{number} Probestücke entfernt.",
    "{number} test pieces. Lay out the sheets and cut them.": (
        "{number} Probestücke. Platten belegen und schneiden."
    ),
    "{stock}: its {fit} fit now allows {size}.": ("{stock}: Passung „{fit}“ erlaubt jetzt {size}."),
    "{symmetry}. The hand was off by up to {most}, {rms} rms.": (
        "{symmetry}. Die Hand lag bis zu {most} daneben, im Mittel (rms) {rms}."
    ),
    "{what} stopped; nothing was changed.": "{what} angehalten; nichts wurde geändert.",
    "“{name}” added.": "„{name}“ hinzugefügt.",
    "“{name}” is a fixture already.": "„{name}“ ist schon ein Gegenstand, um den gepasst wird.",
    "“{name}” replaced in the library.": "„{name}“ in der Bibliothek ersetzt.",
    "“{name}” saved in the library.": "„{name}“ in der Bibliothek gespeichert.",
    "“{name}” saved: {number} step.": "„{name}“ gespeichert: {number} Schritt.",
    "“{name}” saved: {number} steps.": "„{name}“ gespeichert: {number} Schritte.",
}

SAID = {**WORKING, **REPORTS}
