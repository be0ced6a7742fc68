"""How much each sign weighs for a sentence to call for a person. Fitted by
`python -m tests.words.fit_evidence`: never edit.

Words in small letters, the parts that they play in capitals, and how the sentence stands to what was
asked and told with a capital first. Log odds; 0 is any figure."""

CONSTANT = -3.1
WEIGHTS: dict[float, str] = {
    3.4: "PERSON",
    2.6: "CHANGE",
    2.2: "Nothing-told",
    2.1: "AMISS",
    1.9: "Question",
    1.8: "please",
    1.7: "?|DISPUTE",
    1.4: "HEDGE|Names-other|bitte",
    1.2: "DIFFERENCE|neither",
    1.1: "HEARSAY|Numbered|drawing|idea|plan",
    1.0: "BUSINESS|ein|glass|isn't|sent",
    0.9: "TAKEN_BACK|something",
    0.8: "ROOM_WORD|Untold-length|date|month|move|or|wall|we've",
    0.7: """
        OBLIGED|could|different|go|haven't|husband|landlord|not|picture|should|since|somebody|there's|tür|were|
        worktop|x|you've""",
    0.6: """
        EXISTS|NEGATION|Other-length|Told-length|another|can't|comes|down|fuse|moved|much|numbers|off|pipe|price|
        round|sill|sister|skirting|we'd|weiß|where|wrong|yep""",
    0.5: """
        No-letter|any|be|beam|being|between|boxed|boxing|coming|doch|happy|j|me|ob|oh|put|radiator|same|square|
        though|up|wait|wand""",
    0.4: """
        ANOTHER_HOME|SAID_BEFORE|afternoon|again|auf|beim|board|builder|can|chair|chimney|colleague|does|drew|
        email|erst|everywhere|ft|garden|getting|has|having|ignore|ihr|is|it's|joan|left|little|lower|moment|
        number's|option|person|recess|replaced|sie|telephone|tell|than|there|these|twice|us|yes""",
    0.3: """
        Not-used|across|actually|afraid|all|along|also|answer|bank|bild|das|deposit|dining|doesn't|explain|firm|
        fitting|going|hall|hi|hinter|job|keep|kitchen|knocked|lean|like|live|looked|march|matter|mean|might|name|
        nicht|noticed|nur|other|our|passed|past|ps|right|runs|slopes|some|somewhere|sorry|take|tall|that|third|
        turned|understairs|walls|we|what|whether|wir|without|yet""",
    0.2: """
        DOOR|a|aber|address|are|baby|before|bit|but|call|cancel|car|ceiling|copy|cupboards|decided|do|done|eleven|
        ends|fenster|fit|floor|from|heaters|help|husband's|if|im|island|its|ja|last|let|lid|liegt|lol|love|low|mal|
        measure|meter|mich|missing|mother's|moving|mr|nights|nische|nobody|note|one's|open|promised|return|roof|
        rufen|saw|schon|send|sending|shows|spring|stand|storage|swapped|then|they|tuesday|units|until|use|wasn't|
        water|week|went|wide|writing|you|young|zollstock""",
    0.1: """
        COULD_NOT|Names-untold|Strange|UP|WINDOW|about|asked|attic|bar|bedroom|better|bill|came|cellar|change|
        checked|christmas|da|dass|didn't|don't|draw|eine|either|evening|every|face|far|figures|four|full|gone|
        grandchildren|head|hob|i'm|ihre|it|key|know|kommt|lady|larder|light|links|looking|lot|made|man|meiner|
        melden|meter's|metres|mine|müssen|nearly|new|noch|nochmal|now|oak|old|on|one|ones|panel|putting|question|
        quick|rd|reads|real|run|said|second|she's|short|sketch|someone|speak|start|stay|stimmt|street|taking|talk|
        the|thought|to|together|um|understand|uns|utility|vom|was|way|wet|when|while|wie|windows|wird|you'd|zu""",
    -0.1: """
        CORRECTION|access|after|against|airing|alles|altbau|answers|antwort|anything|april|ask|aus|backwards|bad|
        bath|bathroom|bear|bed|bei|beträgt|bins|bless|block|boxes|bring|broom|built|bus|cabinet|cat|cheers|close|
        coats|colin|correct|cottage|course|cover|cupboard|dann|dark|days|dead|dear|deckenhöhe|deep|dem|died|door's|
        drawers|eben|eights|einmal|electricity|end|entschuldigen|expect|fensterbank|fernwärme|ffl|fine|finished|
        flat|forgive|fourteen|fragen|fridge|garage|gas|gaszähler|geht|gelesen|greetings|ground|gruß|grüße|h|hab|
        hallo|handwriting|hat|hatch|haupthahn|haus|have|height|heizung|here's|heute|hier|highest|him|hoch|hole|
        holiday|hoover|hängen|hängt|höhe|i|i've|ihnen|into|jean|joiner|keins|küche|ladder|laibung|landing|leeds|
        leibung|leiter|lives|long|lowest|mache|machine|mains|may|measures|measuring|meters|miles|millimetres|muss|
        must|my|myself|n|ne|nearest|neben|needed|nette|next|nice|nine|ninety|nothing|noughts|oben|office|own|p|
        paper|passt|pavement|pen|people|photographs|plant|properly|pump|questions|rain|reading|really|rechts|rein|
        reply|retired|school|schönen|schönes|see|shed|sicherungskasten|sink|sixteen|skizze|soon|spüle|stands|
        starts|steel|stop|stops|ta|taken|tap|team|things|thinking|thirty|this|throughout|thumb|tief|tiles|times|
        tom|trouble|two|typing|und|unter|upside|upstairs|van|vielen|von|wanted|waren|washing|weekend|weeks|which|
        who|whole|why|window's|wishes|wochenende|years|you're|yours|zahl|zero|zur|zähler""",
    -0.2: """
        Foreign|PICTURE|Partly-used|abend|an|anbei|and|arm|as|asleep|auch|b|back|bis|blind|boden|borrowed|bottom|
        brüstung|centimetres|check|come|cook|corner|couldn't|dank|danke|daughter|decke|definitely|district|door|
        downstairs|dran|drive|e|eighty|electrics|enclosed|enough|flur|forget|forty|forward|fuses|gate|gerade|
        glasses|gleich|haben|held|hello|high|hin|it'll|kind|laid|leave|level|loft|look|make|makes|meant|
        measurements|messen|metre|metric|middle|mind|minutes|miss|morning|mother|nach|nein|oberkante|opposite|
        order|ours|outhouse|outside|over|pantry|photo|plaster|previous|proper|range|raumhöhe|reach|regards|rest|
        reveal|room|say|schicke|seven|silence|sind|sixes|slow|sonntag|stairs|stopped|straight|sunday|therme|think|
        those|three|thursday|tiefe|toilet|village|want|wants|wasser|wednesday|wife|write|year""",
    -0.3: """
        ACROSS|above|always|am|been|behind|believe|bin|building|by|changed|consumer|correction|dad|day|delay|
        doctor|dog|doing|doors|ever|everything|exactly|familie|feet|follow|foot|fotos|friday|gave|gemessen|good|
        got|great|hand|hear|heat|hers|his|hook|hundred|ich|instead|kinder|later|lino|lovely|mehr|mein|mm|mrs|night|
        none|nought|oil|only|photograph|pictures|places|point|porch|quite|r|red|samstag|says|set|shall|shift|
        showroom|sohn|stood|ten|thing|time|told|tomorrow|under|used|white|window|work|zwei""",
    -0.4: """
        Names-told|at|because|beside|dresser|eight|es|etwas|five|found|had|hallway|hang|hatte|heating|her|home|
        house|how|inside|just|keller|laser|late|leider|letter|list|meine|need|never|number|pics|sat|saturday|silly|
        son|staying|still|tea|th|thank|thanks|through|top|unit|we'll|with""",
    -0.5: """
        All-used|both|clear|depth|electric|forgot|front|get|he's|hope|i'd|inches|ines|monday|more|ok|once|s|six|
        stopcock|till|very|wrote""",
    -0.6: "apologies|box|c|cm|der|first|for|here|hold|looks|m|others|photos|read|steps|them|war|will|you'll",
    -0.7: "did|half|mail|measured|tape|woche",
    -0.8: "find",
    -0.9: "Brief|attached|frame|i'll|so|took",
    -1.4: "!",
    -1.7: "All-told",
    -1.8: "ASIDE|LATER",
}
