"""English: which words and phrases play which part. Composed from how people write; nothing is copied from anywhere."""

from __future__ import annotations

from intake.domain.words.concepts import Concept as C

PHRASES: dict[C, str] = {
    C.HEDGE: """
        last time i|years ago|ages ago|a while ago|a while back|back then|when we moved|depends|depending|varies|
        and a bit|a bit|about|around|approx|approximately|approx.|roughly|circa|ca|ish|or so|or thereabouts|
        give or take|at a guess|from memory|i think|we think|i guess|we guess|i reckon|we reckon|reckon|reckons|
        thinks|guesses|i believe|we believe|believes|i assume|we assume|assume|assuming|i suppose|suppose|
        as far as i know|as far as i|as far as we|afaik|not sure|not certain|not 100%|not totally sure|
        not completely sure|not too sure|unsure|unclear|probably|maybe|perhaps|possibly|hopefully|seems|seem|
        looks like|looks|look|appears|supposed|supposedly|standard|typical|typically|normally|usually|should be|
        would be|will be|could be|may be|might be|might|may|if|to be confirmed|used to be|was before|guess|
        guessed|guessing|guesstimate|estimate|estimated|estimating|ideally|want|would like|'d like|d like|
        planning to|plan to|at least|at most|more than|less than|nearly|almost|up to|over|under about|just under|
        just over|just about|a bit over|a bit under|a shade over|a shade under|bit more|bit less|don't quote me|
        wouldn't swear|can't swear|cannot swear|more or less|somewhere between|somewhere near|somewhere around|
        something like|in the region of|thereabouts|i'd say|i would say|best guess|hard to say|hard to tell|
        difficult to say|who knows|presumably|likely|unless|whatever|paced|eyeballed|by eye|unchecked|provisional|
        tentative|double check|double-check|needs checking|to be checked|laser says|app says|phone says|phone app|
        phone's measure|measure app|measuring app|or maybe|could have|may have|might have|would have|
        wants checking|pinch of salt|doubt|doubtful|hoping|hope so|can't remember|cannot remember|don't remember|
        do not remember|not remember|fairly sure|pretty sure|quite sure|almost certain|nearly sure|think so|
        guess so|suppose so|believe so|possible|could well|bit unsure|don't trust|worth checking|check that|
        please check|you should check|half asleep|wonky|wobbly|rough|roughish|or something|kind of|sort of|?""",
    C.COULD_NOT: """
        couldn't|could not|can't|cannot|can not|didn't|did not|don't know|do not know|doesn't know|haven't|
        have not|hasn't|wasn't able|weren't able|unable|not able|failed to|no idea|dunno|no clue|forgot|forgotten|
        unmeasured|never measured|never found|not measured|not yet measured|not been measured|not done|not found|
        yet to|yet|still to|still need to|still have to|need to measure|needs measuring|have to measure|
        got to measure|to follow|will follow|follows later|follows tomorrow|tbc|tba|tbd|later|tomorrow|tonight|
        at the weekend|over the weekend|this weekend|on saturday|on sunday|on monday|on tuesday|on wednesday|
        on thursday|on friday|this evening|next week|when i get home|when i'm home|when i can|as soon as|
        i'll send|i will send|we'll send|we will send|will send|i'll measure|will measure|we'll measure|i'll get|
        will get back|i'll do|will do|i'll check|will check|we'll check|i'll look|i'll find|will find out|
        i'll find out|i'll ask|we'll ask|will ask|i'll have to|we'll have to|i'll have a look|going to measure|
        going to send|hope to|try to|try again|i'll try|will try|re-measure|remeasure|need a ladder|can't reach|
        couldn't reach|won't|isn't possible|not possible|not sure where|not sure how|still looking|waiting for|
        waiting on|pending|leave with me|leave it with me|bear with me|couldn't find|can't find|can't see|
        couldn't see|couldn't tell|can't tell|no way of|struggling|struggled|stuck""",
    C.NEGATION: """
        not|no|n't|isn't|aren't|wasn't|weren't|never|neither|nor|none|without|don't have|do not have|doesn't have|
        haven't got|have no|nothing|don't|doesn't|nope|nobody|hardly""",
    C.TAKEN_BACK: """
        ignore|disregard|scrap|forget|strike|wrong|mistake|incorrect|not right|not correct|typo|cancel that|
        i lied|misread|mis-read|misread it|mismeasured|mis-measured|got that wrong|delete|take that back|
        doesn't count|don't use|do not use|no longer correct|no longer right|out of date|please bin""",
    C.CORRECTION: """
        no wait|wait|hang on|hold on|scratch that|tell a lie|i tell a lie|actually|correction|i meant|i mean|
        meant|make that|make it|should read|should say|should have been|should have said|should've been|is really|
        really|rather|instead|amend|amended|amendment|corrected|correcting|revised|update|updated|oops|whoops|
        sorry|apologies|it turns out|turns out|in fact|remeasured|re-measured|measured again|measured it again|
        checked again|re-checked|rechecked|replace""",
    C.SAID_BEFORE: """
        i said|i wrote|i gave|i put|i sent|i told you|we said|we wrote|we gave|we put|you have|you read|
        you've got|you wrote|i'd written|i had written|i'd put|first put|first wrote|first said|first gave|
        had put|had said|had given|originally put|originally said|previously put|previously said|you had|not the|
        earlier i|previously|i had said|i'd said|originally|before i said""",
    C.ANOTHER_HOME: """
        my mum's|my mums|my dad's|my sister's|my sisters|my brother's|my brothers|my son's|my daughter's|
        my parents|my parents'|my mother's|my father's|mother-in-law's|mother in law's|my friend's|a friend's|
        friend of mine|next door's|neighbour's|neighbours|neighbor's|neighbors|neighbour|neighbor|the neighbours'|
        old house|old kitchen|old flat|old place|old home|previous house|previous home|previous kitchen|
        previous place|former house|last house|last place|last kitchen|last flat|other house|our rental|
        rental flat|holiday home|holiday cottage|holiday let|where we used to live|we used to live|house opposite|
        flat upstairs|flat downstairs|upstairs neighbour|the people next door|people next door|next door has|
        next door have|next door is|next door are|my sister|my brother|my mum|my aunt|my uncle|my boss|my cousin|
        my friend|my colleague|a colleague|in their house|their kitchen|their house|their flat|their place|
        her house|his house|her kitchen|his kitchen|her flat|his flat""",
    C.HEARSAY: """
        builder|builders|the agent|estate agent|estate agents|agent's|brochure|particulars|the previous owner|
        previous owners|the landlord|landlord|according to|the surveyor|surveyor|architect|architect's|architects|
        the plans say|the drawings say|on the deeds|the listing|listing|rightmove|told me|tells me|told us|
        he says|she says|they say|says it is|says it's|heard|apparently|the fitter said|fitter|the plumber said|
        the electrician said|plumber|electrician|the last people|old plans|original plans|original drawings|
        house plans|my husband says|my wife says|my partner says|my husband said|my wife said|my partner said|
        he said|she said|they said|wife thinks|husband thinks|partner thinks|developer|developers""",
    C.CHANGE: """
        will be moved|being moved|be moving|is moving|are moving|going to move|want to move|moving the|
        to be moved|relocated|relocate|relocating|knocking|knock through|knock down|knocked through|knocked down|
        taking out|take out|taking down|take down|ripping out|remove|removing|removed|will come out|coming out|
        being replaced|be replaced|replacing|new window|new windows|new door|new doors|new boiler|lowering|
        lowered|be lowered|raise the|raising|raised|boarding|boarded|plastering|replaster|re-plaster|plasterer|
        new floor|new flooring|underfloor|screed|extension|extending|extend|blocked up|block up|blocking up|
        bricked up|brick up|convert|converting|conversion|building work|building works|builders start|changing|
        will change|change of plan|changed our mind|changed my mind|after the|once the|before the work|demolish|
        demolishing|new ceiling|new wall|partition|stud wall|be gone|is going|are going|getting rid|rid of|swap|
        swapping|be fitted|being fitted|put in a|putting in|installing|install|be installed|having a new|
        having new|get a new|getting a new|boxing in""",
    C.DISPUTE: """
        plan is wrong|drawing is wrong|sketch is wrong|plan's wrong|your plan|your drawing|wrong way round|
        the wrong way|wrong wall|wrong side|back to front|mirrored|mirror image|upside down|you have misread|
        you've misread|you misread|you've mixed|you have mixed|mixed up|mixed them up|swapped round|
        other way round|other way around|does not exist|doesn't exist|there is no such|there's no such|no such|
        isn't a window|is not a window|not a window|not a door|isn't a door|is not a door|is a door|is a window|
        not a wall|isn't a wall|missing from the plan|left out|forgot to draw|forgot to mention|
        forgot to say there|not shown|not on the plan|isn't on the plan|didn't draw|didn't put|also a|
        another window|another door|a second window|a second door|different room|wrong room|not my room|
        not our kitchen|not my kitchen|not ours|not mine|wrong customer|wrong person|somebody else's|
        someone else's plan""",
    C.PERSON: """
        happy with how|not happy|unhappy|disappointed|complaint|complain|complaining|fed up|annoyed|annoying|
        frustrated|frustrating|ridiculous|unacceptable|too long|cancel|cancelled|refund|manager|told you|
        already told|already sent|already answered|speak to|speak with|talk to|talk it|contact|send anyone|
        calling first|call first|ring first|phone first|before you come|come out and|you come out|someone come|
        somebody come|anyone come|come round|come over|come and|pop round|send someone|send somebody|help me|
        need help|some help|confusing|confused|confuses|complicated|don't understand|do not understand|
        didn't understand|don't get|make head or tail|makes no sense|make sense of|too hard|too difficult|
        no idea what|not sure what|don't know what|what do you mean|what you mean|what does|bad back|bad knees|
        wheelchair|disabled|elderly|in hospital|passed away|died|emergency|urgent|urgently|wrong person|
        wrong address|wasn't for me|not for me|isn't for me|smell gas|gas leak|sparks|shock|unsafe|dangerous|
        give up|giving up|changed our minds|pulled out|too expensive|another company|on hold|postpone|postponed|
        delay the|sold the house|moving house""",
    C.DIFFERENCE: """
        lower|higher|more|less|short|bigger|smaller|taller|thinner|thicker|narrower|wider|longer|shorter|drop|
        drops|step|steps|gap|away|difference|differ|differs|out of level|out of true|fall|falls|slopes|apart|
        extra|remaining|spare|clearance|overhang|overhangs|sticks out|stick out|projects|protrudes|add|plus|minus|
        half of|average|on average|mean""",
    C.ACROSS: """
        wide|width|across|long|length|thick|thickness|deep|depth|broad|in width|in length|in depth|
        from the corner|from the wall|from the door|from the left|from the right|from the window|to the left|
        to the right""",
    C.UP: """
        high|height|heights|tall|up|from the floor|off the floor|above the floor|above floor|from floor|
        off the ground|above floor level|from the ground|above the ground|above finished floor""",
    C.WINDOW: "window|windows",
    C.DOOR: "door|doors|doorway|doorways|door frame|doorframe|patio doors|french doors|back door|front door",
    C.EVERY: "both|each|every|all|all of them|both of them|everywhere|throughout|all round|all over|all the way",
    C.SAME: """
        same|the same|ditto|as above|likewise|identical|as before|as i said|as stated|as on the plan|as drawn|
        as per|see plan|see above|see below""",
    C.COUNTED: """
        places|place|spots|spot|points|ends|sides|corners|windows|doors|walls|sections|rooms|floors|sockets|
        socket|radiators|radiator|rings|ring|photo|photos|photographs|photograph|pictures|picture|pics|pic|images|
        image|attachments|attachment|email|emails|e-mails|people|adults|kids|children|times|years|year|months|
        month|weeks|week|days|day|hours|hour|minutes|minute|mins|other|others|more|litres|kw|amps|amp|of them|
        of these|of us|spares|switches|steps|shelves|cupboards|cupboard|cats|cat|dogs|dog|pages|page|sheets|sheet|
        lights|plugs|drawers|seats|burners|bedrooms|items|questions|answers|things|checks|goes|attempts|readings|
        measurements|numbers|tiles|boards|storeys|flights|men|guys|lads|of|double|single|gang|heights|lengths|
        values|figures|boxes|coats|trips|shots|angles|units|layers|feet away|miles|spotlights|bulbs|years'""",
    C.PICTURE: """
        photo|photos|photograph|photographs|photographed|picture|pictures|pic|pics|image|images|attached|
        attachment|attachments|attach|attaching|enclosed|shot|shots|snap|snaps|video|scan|scanned|plan|plans|
        sketch|drawing|drawings|email|e-mail|mail|message|file|files|pdf|upload|uploaded|marked|drawn""",
    C.ROOM_WORD: """
        wall|walls|floor|floors|corner|corners|worktop|worktops|work top|counter|countertop|cupboard|cupboards|
        frame|frames|architrave|skirting|sink|oven|cooker|fridge|freezer|washing machine|dishwasher|radiator|
        radiators|socket|sockets|switch|switches|pipe|pipes|tile|tiles|tiled|beam|beams|chimney|breast|alcove|
        alcoves|nib|nibs|boxing|step|stairs|opening|openings|hinge|hinges|swing|swings|opens|shower|bath|toilet|
        wc|loo|basin|tap|taps|tank|cylinder|loft hatch|meter|meters|fuse|electric|electrics|electricity|water|
        heating|plaster|plastered|plasterboard|lintel|ledge|board|boards|floorboards|hole|damp|mould|crack|cracks|
        leak|leaks|leaking|asbestos|smell|architraves|fittings|units|door|doors|window|windows|order|price|cost|
        quote|deadline|budget|deposit|appointment|visit|fitter|fitters|install|installation|delivery|designer|
        design""",
    C.ASIDE: """
        what next|what now|what's next|what happens next|what do you need|how do we start|how does it work|thanks|
        thank you|many thanks|cheers|ta|kind regards|best regards|regards|best wishes|best|yours sincerely|yours|
        sincerely|hello|hi|hiya|hey|dear|good morning|morning|good afternoon|good evening|evening|afternoon|
        hope this helps|hope that helps|hope this is ok|hope that's ok|hope you are well|hope you're well|
        let me know|please let me know|if you need anything|anything else|any questions|any problems|
        looking forward|look forward|speak soon|have a nice|have a good|have a great|all the best|no problem|
        no worries|no rush|happy to help|happy to|sorry for the delay|sorry for the wait|sorry it took|
        sorry about the delay|apologies for the delay|sorry to be slow|sorry for being slow|here you go|here goes|
        here we go|as requested|as you asked|as promised|you asked|answers below|see below|below|sent from my|
        get outlook|is that ok|is that okay|is that enough|is this ok|is this enough|does that help|
        does this help|will that do|will this do|ok|okay|great|lovely|brilliant|fab|super|excited|can't wait|
        cannot wait|pleased|xx|x|ps|p.s.|fingers crossed|merry christmas|happy new year|lol|haha|phew""",
    C.KNOWN: """
        a|an|the|this|that|these|those|it|its|it's|they|them|their|there|there's|here|here's|i|i've|i'm|i'd|i'll|
        me|my|mine|we|we've|we're|we'll|us|our|ours|you|your|you'll|you've|he|she|his|her|is|are|was|were|be|been|
        being|am|'s|'re|has|have|had|having|do|does|did|done|of|to|for|with|from|off|on|in|at|into|onto|as|than|
        then|so|and|but|or|too|also|just|only|exactly|precisely|bang on|dead on|spot on|exact|precise|bang|dead|
        got|get|gets|getting|comes|come|came|comes to|coming|measures|measure|measured|measuring|reads|read|
        reading|says|say|shows|showed|show|found|find|checked|check|checking|taken|took|take|used|using|put|again|
        now|today|yesterday|this morning|this afternoon|last night|earlier|first|second|third|last|next|one|ones|
        two|three|four|other|another|same|right|left|middle|centre|center|top|bottom|end|ends|high up|low|down|up|
        end to end|place|places|both|either|which|who|where|what|when|how|why|because|since|while|after|before|
        until|still|already|very|quite|well|good|fine|clear|clearly|definitely|certainly|certain|sure|of course|
        absolutely|positive|confirm|confirmed|confirming|correct|yes|yep|yeah|yup|aye|indeed|true|agreed|please|
        steel|metal|proper|tape measure|measuring tape|with a tape|laser|husband|wife|partner|son|dad|daughter|
        held|holding|ladder|steps|twice|once|times|time|three times|finished|floor to ceiling|floor|ceiling|
        plaster|skirting|inside|outside|inner|outer|underside|bottom edge|edge|frame|architrave|included|
        including|excluding|not including|without|cm|mm|m|metres|meters|metre|meter|centimetres|centimeters|
        inches|inch|feet|foot|ft|units|in total|total|overall|altogether|whole|entire|equals|equal|answer|answers|
        question|number|numbers|no|nr|item|point|q|measurement|measurements|figure|figures|height|width|depth|
        length|distance|size|dimension|dimensions|value|will|can|could|would|should|must|need|needs|needed|know|
        see|seen|look|looking|looked|go|goes|going|went|make|makes|made|give|given|gives|think of|call|called|
        room|kitchen|bathroom|bedroom|house|flat|home|property|bit|part|piece|section|stretch|thing|things|side|
        area|spot|wall|window|sink|worktop|door|back|front|far|near|nearest|opposite|facing|above|below|under|
        underneath|over|behind|beside|between|through|along|around|across|asked|ask|wanted|want to know|missing|
        required|sent|send|sending|wrote|write|written|added|adding|add|note|noted|noting|all|any|some|every|each|
        few|lot|lots|enough|everything|anything|something|nothing else|etc|e.g|i.e|re|regarding|concerning|
        about that|as for|for the record|fyi|btw|by the way|straight|straightforward|level|even|square|standing|
        stood|lying|taking|there are|there is|we have|we've got|i have|i've got|have got|just got|like|
        like you said|though|although|however|otherwise|anyway|anyhow|apart from|except|old|new|big|small|little|
        large|larger|smaller|bigger|main|real|full|half|quarter|much|many|most|least|more|less|easier|easy|hard|
        careful|carefully|properly|accurate|accurately|eventually|finally|managed|able|manage|helped|help|let|
        mind|sorry|apologies|oh|ah|er|um|erm|right then|o|actual|definite|whilst|whoever|myself|himself|herself|
        kids|live|lives|sits|sit|situated|located|mounted|fixed|fitted|hidden|kept|runs|run|enters|enter|comes in|
        goes out|leaves|turned|turn|stop|start|starts|starting|nearest the|cold|hot|mains|town|supply|gas|
        electric|oil|lpg|solar|heat|pump|air|source|combi|system|type|kind|gone|never mind|n|head|sill|cill|
        reveal|recess|boiler|ledge|connected|available|present|exist|exists|supplied""",
}
"""Each class with its words and phrases between bars; longer ones win."""
