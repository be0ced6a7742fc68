"""German: which words and phrases play which part, and the German names of the checklist's items."""

from __future__ import annotations

from intake.domain.words.concepts import Concept as C

PHRASES: dict[C, str] = {
    C.HEDGE: """
        ungeprüft|nicht nachgemessen|nicht überprüft|nicht geprüft|ca|ca.|circa|ungefähr|ungefaehr|zirka|gut und gerne|
        so um die|schätze|geschätzt|schätzungsweise|ich glaube|glaube ich|glauben wir|meine ich|ich meine|denke ich|
        ich denke|wahrscheinlich|vermutlich|vielleicht|eventuell|evtl|evtl.|möglicherweise|wohl|müsste|müssten|dürfte|
        könnte|könnten|sollte|sollten|wäre|wären|würde|falls|wenn|nicht sicher|unsicher|nicht ganz sicher|
        bin mir nicht sicher|ohne gewähr|aus dem kopf|aus dem gedächtnis|mindestens|höchstens|maximal|beinahe|oder so|
        oder|in etwa|pi mal daumen|über den daumen|standard|normalerweise|angeblich|scheint|nachmessen|noch prüfen|soll|
        sollen|hoffentlich|mehr oder weniger|zwischen|plusminus|?|so ungefähr|grob|grob geschätzt|
        über den daumen gepeilt|genau weiß ich es nicht|weiß nicht genau|bin nicht sicher|nicht genau|mit dem handy|
        handy-app|ohne garantie|meines wissens|soweit ich weiß|so viel ich weiß|wenn ich mich richtig erinnere|
        vielleicht auch|eher|plus minus|könnte auch|denke|denk ich|glaub ich|nehme an|nehme ich an|vermute|rate|geraten|
        um die|glaube""",
    C.COULD_NOT: """
        komme ich nicht ran|komme ich nicht dran|komm ich nicht ran|komm ich nicht dran|kommen wir nicht ran|
        kommen wir nicht dran|komme ich nicht hin|wissen nicht|wissen wir nicht|wissen leider nicht|
        wissen wir leider nicht|muss warten|müssen warten|muss noch warten|muss bis|konnte nicht|konnten nicht|
        konnte ich nicht|konnten wir nicht|kann ich nicht|kann nicht|können wir nicht|nicht gemessen|noch nicht|
        weiß nicht|weiss nicht|weiß ich nicht|weiss ich nicht|keine ahnung|vergessen|nicht messen|nicht erreichen|
        komme nicht|kommen nicht|kam nicht|reiche ich nach|reichen wir nach|liefere ich nach|schicke ich|schicken wir|
        sende ich|folgt|folgen|kommt noch|kommen noch|später|morgen|am wochenende|nächste woche|heute abend|messe ich|
        messen wir|muss ich noch|müssen wir noch|muss noch|werde ich|werden wir|wird nachgereicht|nachreichen|
        schaffe ich nicht|nicht geschafft|nicht gefunden|finde ich nicht|finden wir nicht|nicht finden|am montag|
        am dienstag|am mittwoch|am donnerstag|am freitag|am samstag|am sonntag|weiß leider nicht|nicht bekannt|
        unbekannt""",
    C.NEGATION: "nicht|kein|keine|keinen|keinem|keiner|keins|ohne|nie|niemals|weder|noch nie|nein|nichts|ne|nee",
    C.TAKEN_BACK: """
        ignorieren|vergessen sie|falsch|fehler|irrtum|vertan|verschrieben|verlesen|vermessen|stimmt nicht|nicht richtig|
        streichen|ungültig|vertippt|verwechselt|quatsch|unsinn|war falsch|war nicht richtig|gilt nicht mehr|
        bitte vergessen|hinfällig|falschen raum gemessen|falsches fenster|bitte nicht beachten|nicht beachten""",
    C.CORRECTION: """
        korrektur|richtig ist|richtig wäre|sondern|tatsächlich|stattdessen|ich meinte|gemeint war|gemeint waren|
        berichtigung|entschuldigung|sorry|nachgemessen|neu gemessen|nochmal gemessen|noch einmal gemessen|doch|
        eigentlich|es muss heißen|muss heißen|statt|moment|quatsch|halt|korrigiere|ich korrigiere|nein warte|
        oder besser|besser gesagt|vielmehr|neu ist|jetzt habe ich|noch einmal nachgemessen|muss es sein|muss es|
        kommando zurück""",
    C.SAID_BEFORE: """
        ich schrieb|hatte ich geschrieben|ich hatte|geschrieben hatte|statt|anstatt|sie haben|sie lesen|vorher|zuvor|
        zuerst""",
    C.ANOTHER_HOME: """
        nachbar|nachbarn|nachbarin|meine schwester|mein bruder|meine mutter|meine eltern|bei meinen eltern|alte wohnung|
        alten wohnung|alten küche|alte küche|alten haus|altes haus|vorige wohnung|ferienwohnung|meine tochter|mein sohn|
        eine freundin|ein freund""",
    C.HEARSAY: """
        laut|makler|maklerin|exposé|architekt|architekten|vermieter|vorbesitzer|bauträger|hausmeister|handwerker|sagt|
        sagte|meint|meinte|angeblich|bauplan|grundriss|bauzeichnung|bauunterlagen|elektriker|installateur""",
    C.CHANGE: """
        wird versetzt|werden versetzt|wird verlegt|werden verlegt|verlegen|versetzen|abgehängt wird|abgehängt werden|
        abhängen|wird entfernt|entfernen|kommt raus|kommt weg|kommen weg|rausreißen|abreißen|abgerissen|durchbruch|
        wird ausgetauscht|ausgetauscht|austauschen|neues fenster|neue fenster|neue tür|neue therme|umbau|umbauen|anbau|
        zugemauert|wird ersetzt|ersetzt|ersetzen|estrich|fußbodenheizung|neuer boden|neuen boden|verputzt|verputzen|
        geplant|planen|soll weg|kommt runter|kommt eine neue|kommen neue|wird neu|werden neu|neu gemacht|wird gedämmt|
        dämmung|trockenbau|gipskarton|abgehängte decke|fliesen kommen|gefliest|wird gefliest|wird verputzt|bauarbeiten|
        handwerker kommen|wird umgebaut|wird ausgebaut|wird eingebaut|eingebaut werden|entfällt|wird zugemauert|
        durchbrechen|nächsten monat|sanierung|saniert|renovierung|renovieren|renoviert""",
    C.DISPUTE: """
        in wirklichkeit|in echt|eigentlich eine|eigentlich ein|ist nämlich eine|ist nämlich ein|ist in wahrheit|
        plan stimmt nicht|plan ist falsch|zeichnung ist falsch|skizze ist falsch|falsch herum|falschrum|spiegelverkehrt|
        seitenverkehrt|vertauscht|verwechselt|ist eine tür|ist ein fenster|kein fenster sondern|keine tür sondern|
        gibt es nicht|fehlt auf dem plan|falsche wand|falschen wand|falscher raum|ihr plan|ihre zeichnung|
        stimmt so nicht|nicht unser raum|nicht unsere küche|auf der falschen seite|falsche seite|falschen seite|
        ist kein fenster|ist keine tür|das ist kein|haben sie falsch|falsch gezeichnet|falsch eingezeichnet|
        fehlt eine tür|fehlt ein fenster|fehlt das fenster|fehlt die tür|spiegelverkehrt gezeichnet""",
    C.PERSON: """
        melden sie sich|melde dich|
        müssen das verschieben|müssen verschieben|muss das verschieben|muss verschieben|verschieben wir|umbuchen|
        termin gern|termin gerne|termin lieber|anderen termin|neuen termin|termin verlegen|termin verschieben|
        blicke nicht durch|blicke da nicht durch|blick da nicht durch|steige nicht durch|komme nicht klar|kapiere|
        werde nicht schlau|werde daraus nicht schlau|bahnhof|überfordert|zu hoch für mich|anrufen|rufen sie|ruft|
        telefonieren|telefonisch|vorbeikommen|kommen sie vorbei|verstehe nicht|verstehe ich nicht|verstehen wir nicht|
        kompliziert|beschwerde|enttäuscht|ärgerlich|unzufrieden|dauert zu lange|zu lange|hilfe|helfen sie|was ist ein|
        was ist eine|was heißt|was meinen|sprechen sie|stornieren|kündigen|gasgeruch|riecht nach gas|gefährlich|
        dringend|falsche person|nicht für mich|bereits geschickt|schon geschickt|schon gesagt|zu teuer|möchte lieber|
        möchten lieber|lieber doch|doch lieber|umentschieden|anders überlegt|haben uns entschieden|haben entschieden|
        möchten nicht mehr|wollen nicht mehr|will nicht mehr|kein interesse|absagen|abbestellen|rücktritt|zurücktreten|
        beschweren|unverschämt|unmöglich|frechheit|ärger|sauer|enttäuschend|katastrophe|zum dritten mal|schon wieder|
        mehrfach|wann kommt|wann kommen|wer kommt|können sie|könnten sie|soll ich|sollen wir|muss ich|müssen wir|
        darf ich|kann ich|was kostet|wie lange|wie viel|wieviel|wann|öffnungszeiten|geöffnet|eine frage|frage dazu|
        ich habe eine frage|rückruf|zurückrufen|aufmaß vor ort|selbst messen|für mich messen|messen kommen|krank|
        krankenhaus|rollstuhl|verstorben|umzug abgesagt""",
    C.DIFFERENCE: """
        niedriger|höher|mehr|weniger|kürzer|länger|größer|kleiner|breiter|schmaler|tiefer|abstand|unterschied|gefälle|
        versatz|stufe|um|differenz|überstand|dazu|plus|minus|abzüglich|zuzüglich|durchschnitt""",
    C.ACROSS: "breit|breite|lang|länge|dick|stärke|tief|tiefe|von links|von rechts|von der wand|von der ecke",
    C.UP: """
        hoch|höhe|vom boden|ab boden|über boden|über dem boden|ab fußboden|vom fußboden|über fußboden|
        vom fertigen boden|ab okff""",
    C.WINDOW: "fenster|fenstern|fensters",
    C.DOOR: "tür|türe|türen|tuer|tueren|balkontür|terrassentür|haustür|türrahmen|zarge",
    C.EVERY: "beide|beiden|alle|allen|jedes|jeder|jeweils|überall|durchgehend",
    C.SAME: "gleich|dasselbe|das gleiche|ebenso|ebenfalls|wie oben|siehe plan|siehe oben|identisch|dito|genauso",
    C.COUNTED: """
        fenster|türen|tür|fotos|foto|bilder|bild|stellen|stelle|seiten|steckdosen|steckdose|heizkörper|personen|kinder|
        jahre|jahr|tage|tag|stunden|minuten|mal|anhänge|mails|schalter|räume|zimmer|wände|ecken|stück|lampen|schränke|
        wochen|monate|stock|punkte|kochfelder|platten|euro|uhr""",
    C.PICTURE: """
        foto|fotos|bild|bilder|aufnahme|aufnahmen|anhang|anbei|angehängt|beigefügt|plan|skizze|zeichnung|mail|e-mail|
        nachricht|datei|scan|eingezeichnet|markiert|gezeichnet""",
    C.ROOM_WORD: """
        wand|wände|boden|fußboden|ecke|arbeitsplatte|spüle|herd|ofen|kühlschrank|spülmaschine|heizkörper|steckdose|
        steckdosen|rohr|rohre|fliesen|kamin|nische|stufe|raum|küche|bad|badezimmer|schlafzimmer|zimmer|maß|maße|länge|
        breite|höhe|tiefe|öffnung|dusche|wanne|wc|waschbecken|wasser|strom|heizung|putz|kosten|monteur|einbau|schimmel|
        leck|undicht|asbest|rahmen""",
    C.OBLIGED: """
        muss|müssen|soll|sollen|sollte|sollten|wird|werden|würde|würden|will|wollen|möchte|möchten|darf|dürfen|lieber|
        stattdessen|kommt|kommen""",
    C.EXISTS: "es gibt|gibt es|da ist|da sind|dort ist|wir haben|haben wir|hat ein|hat eine|hat einen|es hat",
    C.AMISS: """
        kommt darauf an|kommt drauf an|hängt davon ab|je nach|feucht|schimmel|schimmlig|riss|risse|undicht|morsch|
        kaputt|locker|schief|schräg|im weg|gefälle|unterschiedlich|verschieden|je nachdem|hängt durch|geht auf|
        öffnet|nach innen|nach außen""",
    C.ASIDE: """
        danke|vielen dank|herzlichen dank|dankeschön|mit freundlichen grüßen|mit freundlichen gruessen|
        geredet|geschwärmt|geträumt|gelacht|
        freundliche grüße|viele grüße|liebe grüße|beste grüße|herzliche grüße|grüße|gruß|mfg|lg|vg|hallo|guten tag|
        guten morgen|guten abend|sehr geehrte|sehr geehrter|liebe|lieber|damen und herren|moin|servus|grüß gott|
        ich hoffe|das hilft|hilft ihnen|melden sie sich|bei fragen|bei rückfragen|gerne|gern|kein problem|schönen tag|
        schönes wochenende|bis bald|tut mir leid|entschuldigen sie die verspätung|anbei die antworten|
        hier die antworten|hier unsere antworten|hier meine antworten|wie gewünscht|von meinem iphone gesendet|
        gesendet von|reicht das|passt das|ist das ok|wir freuen uns|freuen uns|ok|super|prima|toll|für ihre nachricht|
        für ihre mail|für die schnelle|schnelle antwort|ich melde mich|wir melden uns|melde mich|alles klar|alles gut|
        einverstanden|in ordnung|bitte sehr|gern geschehen|frohe ostern|frohe weihnachten|schöne feiertage|urlaub|
        aus dem urlaub|mit besten grüßen|herzliche|beste|freundliche|viele|ihr|ihre|ihnen auch|nochmals|nochmal danke|
        danke schön|lieben dank|besten dank|freue mich|freu mich|wir freuen|freundlichen grüßen|hochachtungsvoll|
        ergebenst|mit freundlichem gruß|entschuldigung für|sorry für|abwesenheitsnotiz|bin im urlaub|im büro|
        nicht im büro|auf dem weg|unterwegs""",
    C.NEARLY: """
        etwa|rund|knapp|fast|über|um""",
    C.LATER: """
        weitergeleitet|weitergegeben|gebe ich weiter|leite ich weiter|danach erst|erst danach|kriege ich hin|
        krieg ich hin|bekomme ich hin|etwas geduld|noch geduld|kommt noch|kommen noch|kommt gleich|kommen gleich|
        kommt später|rest kommt|mach ich|mache ich|machen wir|mach's|erledige ich|wird erledigt|wird gemacht|
        kümmere mich|kümmern uns|danach|im laufe der woche|heut abend|morgen|später|folgt|folgen|am wochenende|
        nächste woche|heute abend|melde mich|melden uns|schicke|nachreichen|reiche ich|reichen wir|demnächst|bald""",
    C.BUSINESS: """
        termin|angebot|lieferung|beratung|planung|entwurf|ausstellung|studio|küchenstudio|auftrag|bestellung|preis""",
    C.KNOWN: """
        recht|erkannt|entziffert|gelesene|gelesenen|mittlere|mittleren|mittlerer|mittleres|heißt|heißen|zahl|zahlen|ziffern|angabe|angaben|wand|abmessung|abmessungen|maßen|messwert|ergebnis|zettel|liste|brief|
        schreiben|lauten|lautete|betrug|ergab|ergaben|misst|maß|messe|miss|nachgezählt|abgelesen|ablesen|lese|liest|
        steht da|gehört|gehören|bedeutet|meint|meinen|zeigt|zeigen|sieht|sehen|sehe|gesehen|schauen|schaue|guckt|gucke|
        geguckt|findet|finden|finde|weiß|kenne|kennt|denkt|dachte|dachten|versucht|versuche|probiert|geschafft|schaffe|
        gehabt|bekomme|kriege|holen|hole|geholt|leihen|geliehen|borgen|halten|hält|gehalten|hielt|stellen|stelle|gestellt|
        legen|gelegt|lege|angelegt|setzen|gesetzt|räumen|geräumt|weggeräumt|aufgeräumt|freigeräumt|abgerückt|rücken|
        gerückt|klettern|geklettert|steigen|gestiegen|bücken|knien|liegen|lag|gelegen|sitzen|saß|hing|stand|blieb|
        bleibt|bleiben|wohnen|wohne|wohnt|leben|lebt|antworte|antwortet|geantwortet|beantwortet|schrieben|schrieb|
        notiere|tippe|getippt|diktiert|mitgeteilt|mitteilen|nett|netten|nette|lieb|schön|schöne|schönen|gute|guten|gut|
        besser|am besten|bestens|sauber|ordentlich|sorgfältig|vorsichtig|langsam|schnell|kurz|kurze|kurzen|einfach|
        einfache|klein|kleine|kleinen|kleiner|groß|große|großen|alt|alte|alten|altes|neu|weiße|weißen|grau|graue|grauen|
        schwarz|schwarze|rot|rote|blau|blaue|grün|grüne|braun|holz|metall|kunststoff|klappe|deckel|tür|türchen|kasten|
        kästchen|schränkchen|regal|regalen|haken|griff|schlüssel|lampe|waschmaschine|trockner|geschirrspüler|
        kühlschrank|gefriertruhe|herd|backofen|staubsauger|besen|jacken|schuhe|mäntel|garderobe|vorratskammer|
        waschküche|heizungskeller|heizungsraum|hausanschlussraum|technikraum|anschlussraum|hausflur|eingangsbereich|
        windfang|vorraum|hof|innenhof|terrasse|balkon|vorgarten|schuppen|carport|einfahrt|hauswand|giebel|nordseite|
        südseite|stirnseite|dachgeschoss|souterrain|parterre|hochparterre|altbau|neubau|baujahr|unterhalb|oberhalb|
        seitlich|mittig|zentral|rechterhand|linkerhand|ganz links|ganz rechts|ganz hinten|ganz oben|ganz unten|
        gleich neben|gleich hinter|gleich links|gleich rechts|um die ecke|neben dem eingang|ums eck|gleichen|selben|
        derselben|demselben|jeweiligen|jede|jedem|jeden|beides|alle beide|allen|ringsum|rundherum|drittens|viertens|
        erstens|zweitens|zuletzt|zunächst|danach|davor|dabei|dafür|damit|dadurch|dagegen|darauf|daran|darin|hierzu|
        hiermit|folgende|folgenden|folgendes|anbei|beiliegend|unten stehend|wie folgt|stunde|stunden|minute|minuten|
        mittag|nachmittag|vormittag|morgens|abends|nachts|mittags|gestern abend|vorhin|neulich|inzwischen|mittlerweile|
        bereits|bislang|bisher|vorerst|zurzeit|momentan|derzeit|demnach|somit|folglich|natürlich|selbstverständlich|
        gottlob|zum glück|glücklicherweise|immerhin|halt|eben|mal eben|ja auch|eh|sowieso|ohnehin|bekanntlich|ehrlich|
        ehrlich gesagt|offen gesagt|kurz gesagt|genauer|genaue|genauen|exakte|exakten|oma|opa|enkel|enkelin|schwager|
        schwägerin|schwiegermutter|schwiegervater|tochter|sohn|schwester|bruder|eltern|mama|papa|kinder|kindern|familie|
        nachbars|kollege|kollegin|freund|freundin|leute|gäste|besucher|euro|kilometer|kilo|grad|treppen|stufen|
        stockwerk|dritter|vierter|zweiter stock|dritter stock|aufzug|lasergerät|lasermessgerät|entfernungsmesser|
        meterstab|gliedermaßstab|metermaß|rollmaß|lineal|wasserwaage|leiter|trittleiter|hocker|stuhl|tisch|küchentisch|
        taschenlampe|lesebrille|brille|lupe|handykamera|computer|rechner|tablet|freue|freuen|gefreut|gespannt|dankbar|
        hoffnung|hoffentlich bald|geburtstag|hochzeit|einschulung|ferien|schule|kindergarten|dienst|dienstreise|montage|
        spätschicht|frühschicht|nachtschicht|schicht|fortbildung|urlaubs|reise|ostsee|nordsee|berge|wandern|fußball|
        garten|gartenarbeit|hitze|kälte|schnee|sturm|gewitter|husten|schnupfen|erkältet|handelt sich um|
        es handelt sich um|dreht sich um|hätte|hätten|schreibe|schreibt|sobald|telefon|erklärt|gekommen|gegangen|
        gedauert|dauert|lange|lang gedauert|schieben|wegschieben|stift|bleistift|kuli|zeit|woche|abend|früh|spät|arbeit|
        auto|hund|katze|kind|regen|wetter|sonne|endlich|gefunden|gesucht|suchen|suche|brauche|brauchen|braucht|drauf|
        dran|drin|rein|hin|her|wieder|nochmal|erst|gekriegt|bekommen|gemacht|macht|nehmen|genommen|hilft|geholfen|
        helfen|sagen|gesagt|denn|sehr gut|schlecht|leicht|schwer|schwierig|hoffe|hoffen|wissen|wusste|deshalb|daher|
        trotzdem|wünscht|wünsche|wünschen|feierabend|grippe|erkältung|besuch|papier|block|band|bandmaß|der|die|das|den|
        dem|des|ein|eine|einen|einem|einer|es|er|sie|ihn|ihr|ihre|ihren|ihnen|ich|wir|uns|unser|unsere|unserem|unseren|
        unserer|mein|meine|meinem|meiner|mir|mich|ist|sind|war|waren|bin|haben|hat|habe|hatte|gibt|im|in|an|am|auf|aus|
        bei|beim|bis|für|mit|nach|von|vom|vor|zu|zum|zur|unter|über|hinter|neben|zwischen|durch|ins|unterm|überm|und|
        aber|auch|dann|da|dort|hier|so|wie|als|nur|genau|exakt|ganz|sehr|schon|jetzt|heute|gestern|gerade|noch|immer|
        links|rechts|linke|linken|linkes|rechte|rechten|rechtes|oben|unten|mitte|vorne|hinten|außen|innen|draußen|erste|
        ersten|erstes|erster|zweite|zweiten|zweites|zweiter|dritte|dritten|letzte|eins|zwei|drei|vier|andere|anderen|
        anderer|ja|jawohl|richtig|stimmt|korrekt|bestätigt|passt|sicher|bestimmt|beträgt|betragen|messen|gemessen|
        messung|gemessene|liegt|sitzt|hängt|befindet|befinden|sich|steht|stehen|kommt|geht|ergibt|lautet|heißt|antwort|
        antworten|frage|fragen|nummer|nr|punkt|wert|höhe|breite|tiefe|länge|zentimeter|millimeter|meter|cm|mm|m|zoll|
        bitte|also|nun|na|wirklich|decke|boden|fußboden|fenster|raum|küche|bad|schlafzimmer|wohnung|haus|keller|flur|
        garage|diele|abstellraum|abstellkammer|speisekammer|dachboden|hauswirtschaftsraum|treppe|treppenhaus|straße|
        spüle|schrank|gesamt|gesamte|insgesamt|komplett|lichte|fertig|fertige|fertigen|oberkante|unterkante|kante|
        rahmen|rohbau|putz|dass|weil|wo|was|welche|wer|man|mal|zweimal|einmal|überprüft|geprüft|kontrolliert|maßband|
        zollstock|laser|mann|frau|zusammen|wird|werden|kann|können|muss|alles|sonst|leider|übrigens|dazu|davon|daneben|
        darunter|darüber|direkt|gleich|schicke|sende|senden|geschickt|gesendet|aufgeschrieben|notiert|heizen|heizung|
        strom|elektrisch|elektro|fernwärme|wärmepumpe|gas|öl|vorhanden|angeschlossen|anschluss|gemessen habe|
        habe gemessen|gasanschluss|leitung|außenwand|überall|rechts oben|links oben|hinterm|hinter der|neben der|
        neben dem|vor der|in der|im eg|im og|erdgeschoss|obergeschoss|untergeschoss|etage|messungen|mitgemessen|
        zweimal gemessen|doppelt gemessen|genau gemessen|kochen|heizen wir|nachgeschaut|geschaut|gelesen|meine schrift|
        schrift|handschrift|ziffer|null|acht|sieben|undeutlich|unter der|hinter dem|im schrank|hauseingang|eingang|
        haustür|wohnungstür|kellertreppe|rechte seite|linke seite|fensterseite|türseite|tiefste|niedrigste|höchste|
        niedrigsten|höchsten|bzw|bzw.|beziehungsweise|jeweils|höchster|tiefster|niedrigster|seite|ecke|spülenseite|
        ergibt sich|sowie|sprich|nämlich|auch hier|gegenüber|vorn|wandseite""",
}

ITEMS: dict[str, str] = {
    "ceiling-height": """
        deckenhöhe|raumhöhe|zimmerhöhe|zimmerdecke|decke|lichte höhe|höhe der decke|höhe des raums|
        höhe des raumes|decken|
        deckenhoehe|raumhoehe""",
    "sill-height": """
        brüstungshöhe|brüstung|fensterbank|fensterbrett|fensterbankhöhe|höhe der fensterbank|
        höhe des fensterbretts|fensterbrüstung|bruestungshoehe|sims|simshöhe|fenstersims""",
    "head-height": """
        fensterhöhe|höhe des fensters|fensteroberkante|oberkante des fensters|oberkante fenster|fenstersturz|
        sturz|fensterhoehe|brüstung bis oberkante|bis oberkante|bis zur oberkante|oberkante""",
    "reveal-depth": """
        leibung|laibung|leibungstiefe|laibungstiefe|fensterleibung|fensterlaibung|nischentiefe|fensternische|
        tiefe der nische|tiefe der leibung|tiefe der laibung|tiefe der fensternische""",
    "consumer-unit": """
        zählerkasten|sicherungskasten|verteilerkasten|sicherungen|zählerschrank|stromkasten|unterverteilung|
        elektroverteilung|
        stromverteiler""",
    "gas-meter": "gaszähler|gasuhr|gasanschluss|gas|gaszaehler",
    "boiler": """
        therme|gastherme|heizkessel|kessel|boiler|heizungsanlage|kombitherme|brennwerttherme|warmwasserspeicher""",
    "water-main": """
        hauptwasserhahn|absperrhahn|haupthahn|hauptabsperrhahn|wasserabsperrhahn|wasserhauptanschluss|
        wasserabsperrung|hauptabsperrventil|wasseruhr|hauswasseranschluss""",
    "extract": "dunstabzug|dunstabzugshaube|abzugshaube",
    "hob": "kochfeld|induktionskochfeld|gasherd|elektroherd|ceranfeld|cerankochfeld|induktion",
}
ABSENT: dict[str, str] = {
    "gas-meter": "alles elektrisch|rein elektrisch|vollelektrisch|nur strom|kein gasanschluss|ohne gasanschluss"
    "|nicht am gas",
    "sill-height": "kein fenster|keine fenster|fensterlos|ohne fenster",
    "head-height": "kein fenster|keine fenster|fensterlos|ohne fenster",
    "reveal-depth": "kein fenster|keine fenster|fensterlos|ohne fenster|keine leibung|keine laibung",
}
SIGNS = frozenset(
    [
        "und",
        "ist",
        "der",
        "die",
        "das",
        "nicht",
        "ein",
        "eine",
        "mit",
        "wir",
        "ich",
        "haben",
        "im",
        "auf",
        "bei",
        "sind",
        "von",
        "für",
        "auch",
        "kein",
        "keine",
        "es",
        "beträgt",
        "hallo",
        "danke",
        "grüße",
        "ja",
        "nein",
        "unter",
        "hoch",
        "bitte",
        "zu",
        "den",
        "dem",
    ]
)
