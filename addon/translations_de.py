"""The interface in German, as spoken in a workshop: what is read in the sidebar and in menus."""

from .translations_de_assembly import ASSEMBLY, JOINTS
from .translations_de_core import REFUSED_BY_CORE
from .translations_de_errors import REFUSED
from .translations_de_keys import DRAWN, KEYS, REASONS
from .translations_de_outline import OUTLINE
from .translations_de_tips import TIPS
from .translations_de_tips_assembly import TIPS_ASSEMBLY
from .translations_de_tips_part import TIPS_PART
from .translations_de_told import SAID

__all__ = ["GERMAN"]

GUIDE = {
    "Job": "Auftrag",
    "Look At": "Ansehen",
    "What": "Was",
    "Start with the Example": "Mit dem Beispiel beginnen",
    "Read the Manual": "Handbuch lesen",
    "Section": "Schnitt",
    "Show Steps": "Schritte zeigen",
    "Hide Steps": "Schritte ausblenden",
    "Bench": "Unterlage",
    "Assembly": "Zusammenbau",
    "Sheets": "Platten",
    "Add a photo of the mock-up": "Foto des Musters hinzufügen",
    "Find its true scale": "Wahren Maßstab finden",
    "Trace the outline": "Umriss abzeichnen",
    "Make it symmetric": "Symmetrisch machen",
    "Add the stock, as measured": "Material anlegen, wie gemessen",
    "Make a part of it": "Ein Teil daraus machen",
    "Check it around its object": "Am Gegenstand prüfen",
    "Lay out the sheets": "Platten belegen",
    "Save the cut files": "Schnittdateien speichern",
    "(optional)": "(nach Wunsch)",
    "Everything is done. Cut a test piece before the whole sheet.": (
        "Alles ist fertig. Schneiden Sie ein Probestück vor der ganzen Platte."
    ),
}

PHOTO = {
    "Photo": "Foto",
    "Add Photo": "Foto hinzufügen",
    "Mock-up Photo": "Foto eines Musters",
    "File": "Datei",
    "Size": "Größe",
    "Focal Length": "Brennweite",
}

BENCH = {
    "Reference": "Bezug",
    "Grid": "Raster",
    "Rectangle": "Rechteck",
    "Length": "Länge",
    "Grid Pitch": "Rasterweite",
    "Mock-up": "Muster",
    "Width": "Breite",
    "Height": "Höhe",
    "Columns": "Spalten",
    "Rows": "Zeilen",
    "Lies At": "Liegt auf",
    "Lock On to Ruler": "Am Lineal einrasten",
    "Snap to Edges": "An Kanten einrasten",
    "Show Misses": "Abweichungen zeigen",
    "Typed Size": "Eingetippte Größe",
    "Grid Squares": "Rasterfelder",
    "A4 Sheet": "Blatt A4",
    "A3 Sheet": "Blatt A3",
    "US Letter Sheet": "Blatt US Letter",
    "Bank Card": "Bankkarte",
    "Add Length": "Länge hinzufügen",
    "Remove Reference": "Bezug entfernen",
    "Show Marks": "Marken zeigen",
    "Which": "Welcher",
    "Model Scale 1:": "Maßstab 1:",
    "Find Grid": "Raster finden",
    "Mark Length": "Länge markieren",
    "Mark Rectangle": "Rechteck markieren",
    "Move Marks": "Marken verschieben",
    "Mark": "Marke",
    "First Mark": "Erste Marke",
    "Second Mark": "Zweite Marke",
    "Corners": "Ecken",
    "Squares Seen": "Gesehene Felder",
    "Crossings Used": "Benutzte Kreuzungen",
    "Camera Tilt": "Kameraneigung",
    "Fit": "Passung",
    "Doubt on 100 mm": "Auf 100 mm",
    "The thickness has changed. Find the scale again.": (
        "Die Dicke hat sich geändert. Finden Sie den Maßstab neu."
    ),
}

PART = {
    "Part": "Teil",
    "Inside Radius": "Innenradius",
    "Plywood 3 mm": "Sperrholz 3 mm",
    "Plywood 6 mm, Routed": "Sperrholz 6 mm, gefräst",
    "Acrylic 3 mm": "Acryl 3 mm",
    "Card 2 mm": "Karton 2 mm",
    "Stock": "Material",
    "Sheets and Fits": "Platten und Passungen",
    "Add Stock": "Material anlegen",
    "Remove Stock": "Material entfernen",
    "Start From": "Ausgehen von",
    "Name": "Name",
    "Make Part": "Teil machen",
    "Rebuild Parts": "Teile neu bauen",
    "sharp corners": "scharfe Ecken",
    "and": "und",
    "{}: common practice, measure yours.": "{}: allgemein üblich, messen Sie Ihres.",
    "{}: common practice; a fit series tells yours.": (
        "{}: allgemein üblich; Ihres sagt eine Passungsreihe."
    ),
    "Show Cut Path": "Schnittweg zeigen",
    "Process": "Verfahren",
    "Laser": "Laser",
    "Router": "Fräse",
    "Knife": "Messer",
    "Thickness": "Dicke",
    "Kerf": "Schnittfuge",
    "Kerf Doubt": "Unsicherheit der Fuge",
    "Cutter Diameter": "Fräserdurchmesser",
    "Sheet Width": "Plattenbreite",
    "Sheet Height": "Plattenhöhe",
    "Grain": "Faserrichtung",
    "None": "Keine",
    "Along Width": "Längs der Breite",
    "Along Height": "Längs der Höhe",
    "Press": "Presssitz",
    "Sliding": "Schiebesitz",
    "Loose": "Loser Sitz",
    "Library": "Vorrat",
    "Save to Library": "In den Vorrat legen",
    "Add to File": "In die Datei nehmen",
    "Remove from Library": "Aus dem Vorrat nehmen",
    "The library is empty.": "Der Vorrat ist leer.",
    "Save a stock to the library in the Part panel.": (
        "Legen Sie ein Material im Bedienfeld Teil in den Vorrat."
    ),
}

TRIALS = {
    "Kerf Test": "Schnittfugenprobe",
    "Save Test Piece": "Probestück speichern",
    "Keep Kerf": "Schnittfuge übernehmen",
    "Replace Existing": "Vorhandene ersetzen",
    "Strips": "Streifen",
    "Push the strips together: the gap is {} kerfs wide.": (
        "Schieben Sie die Streifen zusammen: Die Lücke ist {} Schnittfugen breit."
    ),
    "Gap": "Abstand",
    "Reading Doubt": "Ableseunsicherheit",
    "Fit Series": "Passungsreihe",
    "ISO 286": "ISO 286",
    "Feature": "Merkmal",
    "Together With": "Zusammen mit",
    "Tab": "Zapfen",
    "Peg": "Stift",
    "Hole": "Bohrung",
    "Shaft": "Welle",
    "Ring Bore": "Ringbohrung",
    "Ring Outside": "Ring außen",
    "Nearest to 3D Cursor": "Nächstes am 3D-Cursor",
    "Pieces": "Stücke",
    "Coupons": "Proben",
    "Gauges": "Lehren",
    "Full Part": "Ganzes Teil",
    "Lettering": "Beschriftung",
    "thou": "Tausendstel Zoll",
    "Nominal": "Nennmaß",
    "Outside": "Außenmaß",
    "Caliper Doubt": "Unsicherheit der Schieblehre",
    "From": "Von",
    "To": "Bis",
    "Step": "Schritt",
    "Tried On": "Probiert an",
    "Size from Part": "Maß vom Teil",
    "Propose Range": "Bereich vorschlagen",
    "Make Fit Series": "Passungsreihe machen",
    "Remove Test Pieces": "Probestücke entfernen",
    "This One Fitted": "Dieses hat gepasst",
    "After the cut, select the piece that fitted.": (
        "Wählen Sie nach dem Schneiden das Stück, das passte."
    ),
}

SHEET = {
    "Sheet": "Platte",
    "Lay Out Sheets": "Platten belegen",
    "Improve Layout": "Belegung verbessern",
    "Pin Pieces": "Stücke festhalten",
    "Show Trouble on Sheet": "Fehler auf der Platte zeigen",
    "Number": "Nummer",
    "Margin": "Rand",
    "Time": "Zeit",
    "Seed": "Startwert",
    "Relief": "Freischnitt",
    "Relief Along": "Freischnitt längs",
    "All Corners": "Alle Ecken",
    "Joints Only": "Nur Verbindungen",
    "Bisector": "Winkelhalbierende",
    "Longer Wall": "Längere Wand",
    "Shorter Wall": "Kürzere Wand",
    "Correct Kerf": "Schnittfuge ausgleichen",
    "Used": "Genutzt",
    "Offcut": "Reststück",
    "Lines": "Linien",
}

FILES = {
    "Check Before Cutting": "Vor dem Schneiden prüfen",
    "Save Cut Files": "Schnittdateien speichern",
    "Cut Files (.dxf, .svg)": "Schnittdateien (.dxf, .svg)",
    "Show Cutting Finding": "Befund vor dem Schneiden zeigen",
    "Something changed since the last check.": "Seit der letzten Prüfung hat sich etwas geändert.",
    "Nothing was found that speaks against cutting.": "Nichts spricht gegen das Schneiden.",
    "Never leave a cutter running alone. Know what the sheet gives off before a laser meets it. "
    "The README's cautions say more.": (
        "Lassen Sie eine Schneidmaschine nie allein laufen. Wissen Sie, was die Platte abgibt, "
        "bevor ein Laser sie trifft. Mehr sagen die Warnungen (Cautions) im README."
    ),
    "DXF": "DXF",
    "SVG": "SVG",
    "Paper Template": "Papierschablone",
    "Cut List": "Stückliste",
    "Cut Shared Edges Once": "Gemeinsame Kanten einmal schneiden",
    "Save Anyway": "Trotzdem speichern",
    "Version": "Version",
    "Unit": "Einheit",
    "Millimetres": "Millimeter",
    "Inches": "Zoll",
    "Shapes As": "Formen als",
    "Segments": "Segmente",
    "Polylines": "Polylinien",
    "Paper": "Papier",
    "Letter": "Letter",
    "Line Width": "Linienbreite",
}

GERMAN = {
    **GUIDE,
    **PHOTO,
    **BENCH,
    **OUTLINE,
    **PART,
    **TRIALS,
    **ASSEMBLY,
    **JOINTS,
    **SHEET,
    **FILES,
    **TIPS,
    **TIPS_PART,
    **TIPS_ASSEMBLY,
    **REASONS,
    **KEYS,
    **DRAWN,
    **SAID,
    **REFUSED,
    **REFUSED_BY_CORE,
}
