"""Tooltips in German: assembly, sheets and files."""

__all__ = ["TIPS_ASSEMBLY"]

ASSEMBLY = {
    "A clearance of your own": "Ein eigenes Spiel",
    "About the cursor's z axis": "Um die Z-Achse des Cursors",
    "About the face's normal": "Um die Normale der Fläche",
    "Add a flat ring whose bore fits the fixture at a height": (
        "Einen flachen Ring hinzufügen, dessen Bohrung in einer Höhe um den Gegenstand passt"
    ),
    "Add mirror images of the selected parts; a flat part's image is the same shape turned over": (
        "Spiegelbilder der gewählten Teile hinzufügen; das Bild eines flachen Teils ist "
        "dieselbe Form, gewendet"
    ),
    "Along the longer wall, so that the other one stays whole": (
        "An der längeren Wand entlang, damit die andere ganz bleibt"
    ),
    "Along the shorter wall": "An der kürzeren Wand entlang",
    "Between the two sheets": "Zwischen den zwei Platten",
    "Both sheets are slotted half way and pushed into each other": (
        "Beide Platten werden halb geschlitzt und ineinandergeschoben"
    ),
    "Cut the part back so that the fixture passes, and follow when either moves": (
        "Das Teil so ausschneiden, dass der Gegenstand durchpasst, und folgen, wenn sich "
        "eines bewegt"
    ),
    "Cut the selected parts back so that the fixture passes, and follow when either moves": (
        "Die gewählten Teile so ausschneiden, dass der Gegenstand durchpasst, und folgen, "
        "wenn sich etwas bewegt"
    ),
    "Cut this joint; off to leave both parts whole": (
        "Diese Verbindung schneiden; aus lässt beide Teile ganz"
    ),
    "Drag the place where the two slots of the chosen cross-lap meet": (
        "Die Stelle ziehen, an der sich die zwei Schlitze der gewählten Überblattung treffen"
    ),
    "Falls together, for glue or paint; the stock's own allowance for it": (
        "Fällt zusammen, für Leim oder Farbe; mit dem Spiel des Materials dafür"
    ),
    "Flat at the cursor": "Flach am Cursor",
    "Flat on the face": "Flach auf der Fläche",
    "From the axis to the part's nearest point": "Von der Achse zum nächsten Punkt des Teils",
    "Gap left all round": "Spalt rundherum",
    "Gap left all round between fixture and bore": (
        "Spalt rundherum zwischen Gegenstand und Bohrung"
    ),
    "Goes together by hand; the stock's own allowance for it": (
        "Geht von Hand zusammen; mit dem Spiel des Materials dafür"
    ),
    "Height of the middle of the sheet": "Höhe der Plattenmitte",
    "Height the foot stands on": "Höhe, auf der der Fuß steht",
    "Held by friction alone; the stock's own allowance for it": (
        "Hält nur durch Reibung; mit dem Maß des Materials dafür"
    ),
    "How far inside the other part's edge": "Wie weit innerhalb der Kante des anderen Teils",
    "How far parts must keep away from it": "Wie weit Teile davon wegbleiben müssen",
    "How many tabs; 0 chooses": "Wie viele Zapfen; 0 wählt selbst",
    "How much wider than the sheet each slot is; below zero presses": (
        "Wie viel breiter als die Platte jeder Schlitz ist; unter null presst"
    ),
    "How much wider than the sheet the slots are; below zero presses": (
        "Wie viel breiter als die Platte die Schlitze sind; unter null presst"
    ),
    "How tight slots are, unless a joint says otherwise": (
        "Wie stramm Schlitze sind, wenn eine Verbindung nichts anderes sagt"
    ),
    "Kept free of tabs at both ends; zero keeps one thickness": (
        "An beiden Enden frei von Zapfen; null hält eine Plattendicke frei"
    ),
    "Lap the selected parts wherever two of them cross; with fewer than two selected, all parts": (
        "Die gewählten Teile überblatten, wo sich zwei kreuzen; bei weniger als zwei "
        "gewählten alle Teile"
    ),
    "Let copies of the parts come together on the timeline; the parts themselves stay": (
        "Kopien der Teile auf der Zeitleiste zusammenkommen lassen; die Teile selbst bleiben"
    ),
    "Let selected parts that end at another part's face go through it with tabs": (
        "Gewählte Teile, die an der Fläche eines anderen enden, mit Zapfen hindurchgehen lassen"
    ),
    "Let the two parts of the chosen joint change places: who carries tabs, who opens first": (
        "Die zwei Teile der gewählten Verbindung tauschen lassen: wer Zapfen trägt, wer "
        "zuerst öffnet"
    ),
    "Measure clearance to the fixture, find parts that overlap and an order of assembly": (
        "Spiel zum Gegenstand messen, Überlappungen und eine Reihenfolge des Zusammenbaus finden"
    ),
    "One sheet goes through slots in the other with tabs": (
        "Eine Platte geht mit Zapfen durch Schlitze der anderen"
    ),
    "Rebuild parts whenever an outline, a stock, a pose or the fixture changes": (
        "Teile neu bauen, wann immer sich Umriss, Material, Lage oder Gegenstand ändern"
    ),
    "Repeat the selected parts around an axis, from where they stand; copies share their shape": (
        "Die gewählten Teile um eine Achse wiederholen, von dort aus, wo sie stehen; Kopien "
        "teilen ihre Form"
    ),
    "Save a sheet of pictures that shows every push in its order": (
        "Ein Blatt mit Bildern speichern, das jeden Schub der Reihe nach zeigt"
    ),
    "Select the two parts of this joint and look at it": (
        "Die zwei Teile dieser Verbindung auswählen und hinsehen"
    ),
    "Select what this finding is about and look at its place": (
        "Auswählen, worum es in diesem Befund geht, und auf die Stelle sehen"
    ),
    "Share of the crossing that the first part's slot takes": (
        "Anteil der Kreuzung, den der Schlitz des ersten Teils nimmt"
    ),
    "Show the part's other face": "Die andere Seite des Teils zeigen",
    "Stand on the other part's lower face": "Auf der Unterseite des anderen Teils stehen",
    "Stand one edge of the part on another part, along an edge of that one: click both edges": (
        "Eine Kante des Teils auf ein anderes stellen, an dessen Kante entlang: beide "
        "Kanten anklicken"
    ),
    "Stand or lay the part at the 3D cursor, as the cursor is turned": (
        "Das Teil am 3D-Cursor aufstellen oder hinlegen, wie der Cursor gedreht ist"
    ),
    "Stand or lay the part on the face you click on": (
        "Das Teil auf die angeklickte Fläche stellen oder legen"
    ),
    "Stand the part upright on its foot and repeat it around the fixture's axis": (
        "Das Teil aufrecht auf seinen Fuß stellen und um die Achse des Gegenstands wiederholen"
    ),
    "Take back the joint chosen in the list": ("Die in der Liste gewählte Verbindung zurücknehmen"),
    "Take the active mesh as one more object that the parts must fit": (
        "Das aktive Netz als weiteren Gegenstand nehmen, um den die Teile passen müssen"
    ),
    "Take the active mesh as the existing object that the parts must fit": (
        "Das aktive Netz als den vorhandenen Gegenstand nehmen, um den die Teile passen müssen"
    ),
    "Take the joints of the selected parts back; with none selected, those of all parts": (
        "Die Verbindungen der gewählten Teile zurücknehmen; ist keines gewählt, die aller Teile"
    ),
    "Take the moving copies away and show the parts again": (
        "Die bewegten Kopien wegnehmen und die Teile wieder zeigen"
    ),
    "Take this object off the fixtures; the object itself stays": (
        "Dieses Objekt von den Gegenständen nehmen; das Objekt selbst bleibt"
    ),
    "The axis the fixture is round about": "Die Achse, um die der Gegenstand rund ist",
    "The axis the fixture is round or symmetric about": (
        "Die Achse, um die der Gegenstand rund oder symmetrisch ist"
    ),
    "The existing object that will not change; your parts must fit it": (
        "Der vorhandene Gegenstand, der sich nicht ändert; die Teile müssen um ihn passen"
    ),
    "The first part's slot opens at the lower end of the line": (
        "Der Schlitz des ersten Teils öffnet sich am unteren Ende der Linie"
    ),
    "The first part's slot opens at the upper end of the line": (
        "Der Schlitz des ersten Teils öffnet sich am oberen Ende der Linie"
    ),
    "The fit chosen for all joints": "Die für alle Verbindungen gewählte Passung",
    "The fixture may be put in after some parts stand; off if it cannot be moved": (
        "Der Gegenstand darf eingesetzt werden, wenn schon Teile stehen; aus, wenn er "
        "unbeweglich ist"
    ),
    "The outline's own left side faces the axis": ("Die linke Seite des Umrisses sieht zur Achse"),
    "The outline's own right side faces the axis": (
        "Die rechte Seite des Umrisses sieht zur Achse"
    ),
    "The plane through the 3D cursor, square to this axis of it": (
        "Die Ebene durch den 3D-Cursor, senkrecht zu dieser seiner Achsen"
    ),
    "The shortest slots, or the side found to let it go together": (
        "Die kürzesten Schlitze, oder die Seite, mit der es zusammengeht"
    ),
    "Let slots open from the side from which straight pushes can put everything together": (
        "Schlitze auf der Seite öffnen, von der sich alles gerade zusammenschieben lässt"
    ),
    "The way that overlaps the fixture least": (
        "Die Art, die den Gegenstand am wenigsten überlappt"
    ),
    "The z axis of an object, such as an empty": "Die Z-Achse eines Objekts, etwa eines leeren",
    "The z axis of the 3D cursor": "Die Z-Achse des 3D-Cursors",
    "Upright, on a straight edge": "Aufrecht, auf einer geraden Kante",
    "What parts stand around": "Worum die Teile stehen",
    "Which straight edge it stands on, longest first": (
        "Auf welcher geraden Kante es steht, die längste zuerst"
    ),
    "Which straight edge stands on the floor, longest first; -1 tries them": (
        "Welche gerade Kante auf dem Boden steht, die längste zuerst; -1 probiert sie"
    ),
    "Write gaps and findings at the parts, while the check still holds": (
        "Spalte und Befunde an die Teile schreiben, solange die Prüfung noch gilt"
    ),
    "Zero makes tabs three sheets wide": "Null macht Zapfen drei Platten breit",
}

SHEET = {
    "Another number leads Improve Layout along another way": (
        "Eine andere Zahl führt „Belegung verbessern“ einen anderen Weg"
    ),
    "Each sheet at full size as PDF pages to print, tape together and lay on": (
        "Jede Platte in voller Größe als PDF-Seiten zum Drucken, Zusammenkleben und Auflegen"
    ),
    "Each shape in one piece; whole circles stay circles": (
        "Jede Form in einem Stück; ganze Kreise bleiben Kreise"
    ),
    "Every inside corner the cutter cannot reach": (
        "Jede Innenecke, die der Fräser nicht erreicht"
    ),
    "For old machines. States no unit, so a square of 10 mm or 1 inch is marked": (
        "Für alte Maschinen. Nennt keine Einheit, darum ist ein Quadrat von 10 mm oder 1 "
        "Zoll eingezeichnet"
    ),
    "How many seconds Improve Layout may take": (
        "Wie viele Sekunden „Belegung verbessern“ dauern darf"
    ),
    "Keep the selected pieces where they lie when laying out and improving; again to free them": (
        "Die gewählten Stücke beim Belegen und Verbessern lassen, wo sie liegen; noch "
        "einmal gibt sie frei"
    ),
    "Kept free along the sheet's edge": "Am Rand der Platte frei gehalten",
    "Kept free between pieces": "Zwischen den Stücken frei gehalten",
    "Lay every part out on sheets of its stock, anew but for what is pinned": (
        "Jedes Teil auf Platten seines Materials auslegen, neu bis auf das Festgehaltene"
    ),
    "Lines, arcs and circles, each for itself": "Geraden, Bögen und Kreise, jedes für sich",
    "Look for what would go wrong at the machine, in every part and on every sheet": (
        "Nach dem suchen, was an der Maschine schiefginge, in jedem Teil und auf jeder Platte"
    ),
    "Many laser programs cut lines only up to a certain width": (
        "Viele Laserprogramme schneiden Linien nur bis zu einer gewissen Breite"
    ),
    "Move the lines by half the kerf so that parts come out true. Off for machine "
    "software that does this by itself": (
        "Die Linien um die halbe Fuge versetzen, damit Teile maßhaltig werden. Aus für "
        "Maschinenprogramme, die das selbst tun"
    ),
    "One page a stock with every piece and sheet": (
        "Eine Seite je Material mit jedem Stück und jeder Platte"
    ),
    "One unit in the DXF is a millimetre": "Eine Einheit in der DXF ist ein Millimeter",
    "One unit in the DXF is an inch": "Eine Einheit in der DXF ist ein Zoll",
    "Only those another part goes into; the rest stay round": (
        "Nur die, in die ein anderes Teil geht; die übrigen bleiben rund"
    ),
    "Push the pieces closer together from where they lie; Esc keeps the best found so far": (
        "Die Stücke von dort, wo sie liegen, näher zusammenschieben; Esc behält das Beste bisher"
    ),
    "Replace files of the same name": "Gleichnamige Dateien ersetzen",
    "Save even if something was found that stops the job": (
        "Auch speichern, wenn etwas gefunden wurde, das den Auftrag aufhält"
    ),
    "Select the pieces something is wrong with and look at the place": (
        "Die Stücke auswählen, mit denen etwas nicht stimmt, und auf die Stelle sehen"
    ),
    "Select what the finding is about, put the 3D cursor on the place and look at it": (
        "Auswählen, worum es im Befund geht, den 3D-Cursor auf die Stelle setzen und hinsehen"
    ),
    "States its unit; read by nearly everything": (
        "Nennt seine Einheit; wird von fast allem gelesen"
    ),
    "Straight into the corner; the smallest opening": ("Gerade in die Ecke; die kleinste Öffnung"),
    "Where straight edges of neighbours lie on each other, cut them for the first "
    "alone; lay such pieces out a kerf apart": (
        "Wo gerade Kanten von Nachbarn aufeinanderliegen, sie nur für den ersten schneiden; "
        "solche Stücke eine Fuge auseinander auslegen"
    ),
    "Where the cutter goes to open an inside corner": (
        "Wohin der Fräser geht, um eine Innenecke zu öffnen"
    ),
    "Which inside corners a router's round cutter opens": (
        "Welche Innenecken der runde Fräser öffnet"
    ),
    "Write every sheet's cut files into a folder, all or none; each is read back and measured": (
        "Die Schnittdateien jeder Platte in einen Ordner schreiben, alle oder keine; jede "
        "wird zurückgelesen und gemessen"
    ),
    "8½ × 11 inches": "8½ × 11 Zoll",
}

TIPS_ASSEMBLY = {**ASSEMBLY, **SHEET}
