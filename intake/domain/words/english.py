"""English: which words and phrases play which part. Composed from how people write; nothing is copied from anywhere."""

from __future__ import annotations

from intake.domain.words.concepts import Concept as C

PHRASES: dict[C, str] = {
    C.HEDGE: """
        think it's|think its|think it is|think that's|reckon it's|near enough|close enough|
        haven't checked|not checked|didn't check|haven't double checked|not double checked|
        most places|in most|mostly|in places|in parts|parts of it|could say|could read|might say|might read|may say|
        may read|would say|must be|must say|ask my|ask him|ask her|nothing's exact|nothing is exact|none of it is exact|
        not to scale|very rough|only rough|last time i|years ago|ages ago|a while ago|a while back|back then|
        when we moved|depends|depending|varies|and a bit|approx|approximately|approx.|circa|ca|ish|or so|or thereabouts|
        give or take|at a guess|from memory|i think|we think|i guess|we guess|i reckon|we reckon|reckon|reckons|thinks|
        guesses|i believe|we believe|believes|i assume|we assume|assume|assuming|i suppose|suppose|as far as i know|
        as far as i|as far as we|afaik|not sure|not certain|not 100%|not totally sure|not completely sure|not too sure|
        unsure|unclear|probably|maybe|perhaps|possibly|hopefully|seems|seem|looks like|looks|appears|supposed|
        supposedly|standard|typical|typically|normally|usually|should be|would be|will be|could be|may be|might be|
        might|may|if|to be confirmed|used to be|was before|guess|guessed|guessing|guesstimate|estimate|estimated|
        estimating|ideally|want|would like|'d like|d like|planning to|plan to|at least|at most|more than|less than|
        under about|just about|a bit over|a bit under|a shade over|a shade under|bit more|bit less|don't quote me|
        wouldn't swear|can't swear|cannot swear|more or less|somewhere between|somewhere near|somewhere around|
        something like|in the region of|thereabouts|i'd say|i would say|best guess|hard to say|hard to tell|
        difficult to say|who knows|presumably|likely|unless|whatever|paced|eyeballed|by eye|unchecked|provisional|
        tentative|double check|double-check|needs checking|to be checked|laser says|app says|phone says|phone app|
        phone's measure|measure app|measuring app|or maybe|could have|may have|might have|would have|wants checking|
        pinch of salt|doubt|doubtful|hoping|hope so|can't remember|cannot remember|don't remember|do not remember|
        not remember|fairly sure|pretty sure|quite sure|almost certain|nearly sure|think so|guess so|suppose so|
        believe so|possible|could well|bit unsure|don't trust|worth checking|check that|please check|you should check|
        half asleep|wonky|wobbly|rough|roughish|or something|kind of|sort of|would put it at|sagging|slipped|slipping|
        bent|floppy|not exact|not exactly|not accurate|isn't accurate|inaccurate|by my reckoning|at a push|
        with my phone|on my phone|an app|ruler|stretchy|dressmaking tape|sewing tape|fabric tape|cloth tape|string|
        guestimate|ball park|ballpark|round about|roundabout|if i remember|if memory serves|from what i remember|
        as i recall|i recall|i seem to|seem to remember|on the plans|i imagine|i expect|expect|should think|would think|
        could not swear|can't be sure|can't be certain|cannot be sure|not positive|not confident|not convinced|
        unconvinced|struggled to|no guarantee|somewhere|plus or minus|within a cm|to the nearest|rounded|rounding|
        more likely|most likely|least likely|less likely|by the look of it|needs double checking|take it with|roughly|?|
        want the|want it|would like the|would like it|'d like the|'d like it|like to keep|want to keep|prefer|
        rather have|would rather|'d rather|thinking of|thinking about|considering|call it|let's say|shall we say|
        let's call it|ft something|foot something|feet something|metres something|metre something|m something|
        cm something|odd|ft odd|foot odd|i'd go for|i would go for|i'd go with|i'd plump for|my money's on|
        i'd put my money on|i lean towards|leaning towards|my guess|my best bet|best bet""",
    C.COULD_NOT: """
        can't read|cannot read|
        haven't got a clue|not got a clue|haven't a clue|haven't the foggiest|not a clue|must wait|have to wait|
        has to wait|needs to wait|will wait|couldn't|could not|can't|cannot|can not|didn't|did not|don't know|
        do not know|doesn't know|haven't|have not|hasn't|wasn't able|weren't able|unable|not able|failed to|no idea|
        dunno|no clue|blowed if|damned if|hunted high|looked high|searched high|
        forgot|forgotten|could be either|might be either|may be either|could be both|not know|no know|
        not yet know|not find|unmeasured|never measured|never found|not measured|not yet measured|not been measured|
        not done|not found|yet to|yet|still to|still need to|still have to|need to measure|needs measuring|
        have to measure|got to measure|to follow|will follow|follows later|follows tomorrow|tbc|tba|tbd|later|tomorrow|
        tonight|at the weekend|over the weekend|this weekend|on saturday|on sunday|on monday|on tuesday|on wednesday|
        on thursday|on friday|this evening|next week|when i get home|when i'm home|when i can|as soon as|i'll send|
        i will send|we'll send|we will send|will send|i'll measure|will measure|we'll measure|i'll get|will get back|
        i'll do|will do|i'll check|will check|we'll check|i'll look|i'll find|will find out|i'll find out|i'll ask|
        we'll ask|will ask|i'll have to|we'll have to|i'll have a look|going to measure|going to send|hope to|try to|
        try again|i'll try|will try|re-measure|remeasure|need a ladder|can't reach|couldn't reach|won't|isn't possible|
        not possible|not sure where|not sure how|still looking|waiting for|waiting on|pending|leave with me|
        leave it with me|bear with me|couldn't find|can't find|can't see|couldn't see|couldn't tell|can't tell|
        no way of|struggling|struggled|stuck|i'll|we'll|i will|we will|will look|will have|must ask|have to ask|
        need to ask|got to ask|better ask|let me|going to|back to you|get round|bear with|thrown away|thrown the|threw|
        lost the|lost my|binned|mislaid""",
    C.NEGATION: """
        ain't|not|no|n't|isn't|aren't|wasn't|weren't|never|neither|nor|none|without|don't have|do not have|doesn't have|
        haven't got|have no|nothing|don't|doesn't|nope|nobody|hardly""",
    C.TAKEN_BACK: """
        scrub|cross out|crossed out|measured the wrong room|measured the wrong wall|ignore|disregard|scrap|forget|
        strike|wrong|mistake|incorrect|not right|not correct|typo|cancel that|i lied|misread|mis-read|misread it|
        mismeasured|mis-measured|got that wrong|delete|take that back|doesn't count|don't use|do not use|
        no longer correct|no longer right|out of date|please bin|nonsense|rubbish|can't be right|cannot be right|
        must be wrong|not that|silly me|silly|take no notice|pay no attention|no good|held the tape crooked|crooked|
        wrongly|in error|by mistake|measured the wrong|the wrong one|read it wrong|wrote it wrong|misspoke|invalid|
        not valid|bin the|bin that|bin my""",
    C.CORRECTION: """
        no wait|wait|hang on|hold on|scratch that|tell a lie|i tell a lie|actually|correction|i meant|i mean|meant|
        make that|make it|should read|should say|should have been|should have said|should've been|is really|really|
        rather|instead|amend|amended|amendment|corrected|correcting|revised|update|updated|oops|whoops|sorry|apologies|
        it turns out|turns out|in fact|remeasured|re-measured|measured again|measured it again|checked again|re-checked|
        rechecked|replace|no hang on|no hold on|no sorry|just re-measured|just remeasured|having re-measured|
        having checked|on checking|second look|looked again|my mistake it|should've said|that should be|this should be|
        now it's|now i get|now get|i now get|now measures|now reads|to correct|let me correct|correcting myself|my bad|
        or rather|better|it's actually|is actually""",
    C.SAID_BEFORE: """
        i said|i wrote|i gave|i put|i sent|i told you|we said|we wrote|we gave|we put|you have|you read|you've got|
        you wrote|i'd written|i had written|i'd put|first put|first wrote|first said|first gave|had put|had said|
        had given|originally put|originally said|previously put|previously said|you had|not the|earlier i|previously|
        i had said|i'd said|originally|before i said|i told|first time i got|the first time|at first i|at first|
        i thought|thought it was|i had it as|had it down as|put down|i first|my earlier|in my last|before that was|
        i originally|originally i|the earlier|i typed|i'd typed|i'd measured""",
    C.ANOTHER_HOME: """
        for comparison|by comparison|in comparison|which you're not doing|which you are not doing|
        not the one you're doing|
        my mum's|my mums|my dad's|my sister's|my sisters|my brother's|my brothers|my son's|my daughter's|my parents|
        my parents'|my mother's|my father's|mother-in-law's|mother in law's|my friend's|a friend's|friend of mine|
        next door's|neighbour's|neighbours|neighbor's|neighbors|neighbour|neighbor|the neighbours'|old house|
        old kitchen|old flat|old place|old home|previous house|previous home|previous kitchen|previous place|
        former house|last house|last place|last kitchen|last flat|other house|our rental|rental flat|holiday home|
        holiday cottage|holiday let|where we used to live|we used to live|house opposite|flat upstairs|flat downstairs|
        upstairs neighbour|the people next door|people next door|next door has|next door have|next door is|
        next door are|my sister|my brother|my mum|my aunt|my uncle|my boss|my cousin|my friend|my colleague|a colleague|
        in their house|their kitchen|their house|their flat|their place|her house|his house|her kitchen|his kitchen|
        her flat|his flat|my nan's|my gran's|my mate's|my mother in law's|in-laws'|in laws'|next door|over the road|
        across the road|show home|show house|the show kitchen|in your showroom|the showroom has|the showroom in|
        other showroom|another showroom|a neighbour|my neighbour|my tenant|my tenants|tenant's""",
    C.HEARSAY: """
        builder|builders|sparky|sparks says|the agent|estate agent|estate agents|agent's|brochure|particulars|
        the previous owner|previous owners|the landlord|landlord|according to|the surveyor|surveyor|architect|
        architect's|architects|the plans say|the drawings say|on the deeds|the listing|listing|rightmove|told me|
        tells me|told us|he says|she says|they say|says it is|says it's|heard|apparently|the fitter said|fitter|
        the plumber said|the electrician said|plumber|electrician|the last people|old plans|original plans|
        original drawings|house plans|my husband says|my wife says|my partner says|my husband said|my wife said|
        my partner said|he said|she said|they said|wife thinks|husband thinks|partner thinks|developer|developers|
        floor plan from|floorplan|epc|survey report|the survey said|the survey says|homebuyer|deeds|spec says|the spec|
        datasheet|reckons|swears|assures|was told|been told|were told|i'm told|supposedly|allegedly|is meant to be|
        are meant to be|meant to be""",
    C.CHANGE: """
        it's going|that's going|they're going|has to go|have to go|has to move|have to move|has to come|have to come|
        needs to go|need to go|needs moving|needs to move|wants to move|lifting the floor|being moved|be moving|
        is moving|are moving|going to move|want to move|moving the|knocking|knocked through|knocked down|remove|
        removing|removed|will come out|coming out|being replaced|be replaced|replacing|new window|new windows|new door|
        new doors|new boiler|lowering|lowered|be lowered|raise the|raising|raised|boarding|boarded|plastering|replaster|
        re-plaster|plasterer|new floor|new flooring|underfloor|screed|extension|extending|extend|blocked up|bricked up|
        convert|converting|conversion|building work|building works|builders start|changing|will change|change of plan|
        changed our mind|changed my mind|after the|once the|before the work|new ceiling|new wall|partition|stud wall|
        be gone|is going|are going|getting rid|rid of|swap|swapping|be fitted|being fitted|put in a|putting in|
        installing|install|be installed|having a new|having new|get a new|getting a new|boxing in|coming down|come down|
        goes on|put up|going up|being taken|being put|is due|due next|skimmed|skimming|reboarded|overboarded|
        dropped ceiling|false ceiling|suspended ceiling|insulation|insulating|insulated|dry lining|dry-lining|dry lined|
        levelling|levelled|rewire|rewiring|rewired|replumb|replumbing|redecorate|will be gone|won't be there|
        not be there|to come out|be relocated|be raised|builders come|builders are|work starts|works start|rebuild|
        rebuilding|rebuilt|opening up|open up|opened up|widen|widening|widened|enlarge|enlarging|closing up|close up|
        new radiator|new floor is|tiling|be tiled|being tiled|tiled next|switching to|switch to|changing to|
        converting to|going over to|had it moved|been moved|was moved|moved it|had moved|got moved|has moved|
        had it taken|had it removed""",
    C.DISPUTE: """
        you've got the|you have got the|you show the|you've shown|you have shown|you have the|is actually a|
        is actually an|is actually on|is actually in|is actually the|is actually not|in reality|is really a|
        plan is wrong|drawing is wrong|sketch is wrong|plan's wrong|your plan|your drawing|wrong way round|
        the wrong way|wrong wall|wrong side|back to front|mirrored|mirror image|upside down|you have misread|
        you've misread|you misread|you've mixed|you have mixed|mixed up|mixed them up|swapped round|other way round|
        other way around|does not exist|doesn't exist|there is no such|there's no such|no such|isn't a window|
        to what customer drew|to what we drew|to what i drew|than drawn|not as drawn|not where drawn|is not a window|
        not a window|not a door|isn't a door|is not a door|is a door|is a window|not a wall|isn't a wall|
        missing from the plan|left out|forgot to say there|not shown|not on the plan|isn't on the plan|
        didn't put|also a|another window|another door|a second window|a second door|different room|
        wrong room|not my room|not our kitchen|not my kitchen|not ours|not mine|wrong customer|wrong person|
        somebody else's|someone else's plan|you've put|you have put|you have drawn|you've drawn|you drew|drawn wrong|
        isn't our room|isn't our kitchen|isn't my kitchen|not our room|not our plan|isn't our plan|isn't my plan|
        wrong place|should be on the|can't be right|cannot be right|doesn't look right|does not look right|looks wrong|
        not how it is|not like that|isn't like that|doesn't match|does not match|nothing like|turned round|rotated|
        flipped|reversed|the wrong window|the wrong room|the wrong door|wrong one|there isn't a window there|
        no window there|no door there|never been a|isn't there|is not there|aren't there|not there any more|
        where the door is|where the window is|left off|missed off|missed out|you missed|you've missed|you have missed|
        you forgot|you've forgotten|wrong plan|plan you sent|drawing you sent|isn't right|to have drawn|
        you seem to have|have drawn the|drawn the wrong""",
    C.PERSON: """
        i've moved|we've moved house|new address|change of address|address below|new phone number|new mobile|
        not getting|not having|aren't having|hold on with|hold off|hold fire|wait with the|don't order|do not order|
        don't start|do not start|taken ill|taken poorly|whether we shall go|whether we will go|if we shall go ahead|
        if we will go ahead|whether to go ahead|whether we're going ahead|if we're going ahead|don't see what you mean|
        can't see what you mean|do not see what you mean|don't need a kitchen|don't need a bathroom|
        don't need a bedroom|no longer need|won't be needing|selling up|selling the house|cancelling|canceling|
        nobody got back|no one got back|nobody called|nobody rang|nobody has|no one has|rang twice|called twice|
        phoned twice|been waiting|keeps bouncing|won't send|won't go through|won't let me|help please|please help|
        can't upload|can't attach|haven't had a reply|not had a reply|haven't heard|not heard|heard nothing|no reply to|
        any news|still waiting to hear|real person|a computer|a robot|genuine|a scam|happy with how|not happy|unhappy|
        disappointed|complaint|complain|complaining|fed up|annoyed|annoying|frustrated|frustrating|ridiculous|
        unacceptable|too long|cancel|cancelled|refund|manager|told you|already told|already sent|already answered|
        speak to|speak with|talk to|talk it|contact|send anyone|calling first|call first|ring first|phone first|
        before you come|come out and|you come out|someone come|somebody come|anyone come|come round|come over|come and|
        pop round|send someone|send somebody|help me|need help|some help|confusing|confused|confuses|complicated|
        don't understand|do not understand|didn't understand|don't get|make head or tail|makes no sense|make sense of|
        too hard|too difficult|not sure what|don't know what|what do you mean|what you mean|what does|bad back|
        bad knees|wheelchair|disabled|elderly|in hospital|passed away|died|emergency|urgent|urgently|wrong person|
        wrong address|wasn't for me|not for me|isn't for me|smell gas|gas leak|sparks|shock|unsafe|dangerous|give up|
        giving up|changed our minds|pulled out|too expensive|another company|on hold|postpone|postponed|delay the|
        sold the house|rather have|would rather|'d rather|prefer|we prefer|instead of the|changed my mind|
        change our mind|change my mind|second thoughts|on reflection|no longer want|don't want|do not want|didn't want|
        decided|we've decided|thinking of|thinking about|considering|in two minds|having doubts|hate|hates|horrible|
        useless|third time|second time you|fourth time|how many times|keep asking|keeps asking|asked me already|
        asked us already|asked already|waste of time|poor service|not good enough|let down|disgusted|angry|upset|lied|
        refuse|solicitor|money back|deposit back|compensation|never called|never came|didn't turn up|not turned up|
        not best pleased|not too pleased|not very pleased|asked twice|ask me twice|ask twice|
        sick of|tired of|enough of|losing patience|not impressed|unimpressed|dissatisfied|appalling|shambles|
        this is a joke|what a joke|complete joke|nightmare|no longer interested|not interested|pull out|pulling out|
        call it off|called off|gone off|another firm|another showroom|other firm|competitor|cheaper|split up|separated|
        divorce|redundancy|lost my job|made redundant|funeral|bereavement|stroke|shaky|shake|can't see well|
        partially sighted|dyslexic|dyslexia|can't read|cannot read|translator|interpreter|don't speak|my english|
        visit us|visit me|measure for me|measure for us|measure it for|do it for|do the measuring|do the survey|
        come to us|come to me|come and do|rather you|you do it|would it be possible|is it possible|would it help|
        do i need|do we need|do you need|do i have to|should i|shall i|shall we|should we|must i|can i|can we|could i|
        could we|may i|wondering if|wondering whether|wonder if|wonder whether|want to know|like to know|like to ask|
        question about|a question|one question|quick question|another question|ask you|advise|advice|recommend|
        bigger than you|smaller than you|would like the|would like it|'d like the|'d like it|like to keep|want to keep|
        want the|want it|hand on|who do i|whom|no idea what|how much|how long|what time|opening hours|call me|ring me|
        phone me|text me|call us|ring us|phone us|call my|ring my|phone my|please call|please ring|please phone|
        call after|ring after|phone after|give me a call|give me a ring|give me a bell|give us a call|give us a ring|
        give us a bell|like a call|please get in touch|touch with me|touch with us|need to talk|you can talk|
        are you open|do you open|do you close|to ring|to phone|call any time|ring any time|call anytime|ring anytime|
        want to call|happy to talk|rather talk|no more questions|any more questions|until somebody|until someone|
        asked me this|asked this before|asked us this|asked before|answered this|answered that|has not changed|
        hasn't changed|same question|same questions|again and again|stop asking|stopped asking|not answering any""",
    C.DIFFERENCE: """
        lower|higher|more|less|short|bigger|smaller|taller|thinner|thicker|narrower|wider|longer|shorter|drop|drops|
        step|steps|gap|away|difference|differ|differs|out of level|out of true|fall|falls|slopes|apart|extra|remaining|
        spare|clearance|overhang|overhangs|sticks out|stick out|projects|protrudes|add|plus|minus|half of|average|
        on average|mean""",
    C.ACROSS: """
        wide|width|across|long|length|thick|thickness|deep|depth|broad|in width|in length|in depth|from the corner|
        from the wall|from the door|from the left|from the right|from the window|to the left|to the right""",
    C.UP: """
        high|height|heights|tall|up|from the floor|off the floor|above the floor|above floor|from floor|off the ground|
        above floor level|from the ground|above the ground|above finished floor""",
    C.WINDOW: "window|windows",
    C.DOOR: "door|doors|doorway|doorways|door frame|doorframe|patio doors|french doors|back door|front door",
    C.EVERY: "both|each|every|all|all of them|both of them|everywhere|throughout|all round|all over|all the way",
    C.SAME: """
        same|the same|ditto|as above|likewise|identical|as before|as i said|as stated|as on the plan|as drawn|as per|
        see plan|see above|see below""",
    C.COUNTED: """
        places|place|spots|spot|points|ends|sides|corners|windows|doors|walls|sections|rooms|floors|sockets|socket|
        radiators|radiator|rings|ring|photo|photos|photographs|photograph|pictures|picture|pics|pic|images|image|
        attachments|attachment|email|emails|e-mails|people|adults|kids|children|times|years|year|months|month|weeks|
        week|days|day|hours|hour|minutes|minute|mins|other|others|more|litres|kw|amps|amp|of them|of these|of us|spares|
        switches|steps|shelves|cupboards|cupboard|cats|cat|dogs|dog|pages|page|sheets|sheet|lights|plugs|drawers|seats|
        burners|bedrooms|items|questions|answers|things|checks|goes|attempts|readings|measurements|numbers|tiles|boards|
        storeys|flights|men|guys|lads|of|double|single|gang|heights|lengths|values|figures|boxes|coats|trips|shots|
        angles|units|layers|feet away|miles|spotlights|bulbs|years'""",
    C.PICTURE: """
        the one of|the ones of|the one showing|the ones showing|photo|photos|photograph|photographs|photographed|
        picture|pictures|pic|pics|image|images|attached|attachment|attachments|attach|attaching|enclosed|shot|shots|
        snap|snaps|video|scan|scanned|plan|plans|sketch|drawing|drawings|email|e-mail|mail|message|file|files|pdf|
        upload|uploaded|marked|drawn""",
    C.ROOM_WORD: """
        wall|walls|floor|floors|corner|corners|worktop|worktops|work top|counter|countertop|cupboard|cupboards|frame|
        frames|architrave|skirting|sink|oven|cooker|fridge|freezer|washing machine|dishwasher|radiator|radiators|socket|
        sockets|switch|switches|pipe|pipes|tile|tiles|tiled|beam|beams|chimney|breast|alcove|alcoves|nib|nibs|boxing|
        step|stairs|opening|openings|hinge|hinges|swing|swings|opens|shower|bath|toilet|wc|loo|basin|tap|taps|tank|
        cylinder|loft hatch|meter|meters|fuse|electric|electrics|electricity|water|heating|plaster|plastered|
        plasterboard|lintel|ledge|board|boards|floorboards|hole|damp|mould|crack|cracks|leak|leaks|leaking|asbestos|
        smell|architraves|fittings|units|door|doors|window|windows|cost|budget|deadline|deposit|fitter|fitters|install|
        installation|flood|floods|flooded|flooding|rot|rotten|rotting|subsidence|mice|rats|draught|draughty|draughts|
        condensation|woodworm|uneven|slopes|sloping|sloped|slope""",
    C.OBLIGED: """
        must|should|ought to|has to|have to|had to|needs to|need to|needs|need|would|will|shall|won't|wouldn't|
        shouldn't|cannot|can't|want|wants|wish|hope to|supposed to|is to|are to|going to|due to|instead|rather|'d like|
        would like|let me know if""",
    C.EXISTS: """
        there is|there are|there's|there was|there were|we have|we've got|we also have|i have|i've got|has got|it has|
        it's got|which has|has a|has an|have a|have an|comes with|you'll notice|you will notice|don't forget""",
    C.AMISS: """
        goes off|go off|goes out|cuts out|cut out|trips out|keeps tripping|flickers|plays up|playing up|
        came down|fell down|has fallen|fallen down|fell in|rot|rotten|rotting|damp|mould|mouldy|crack|cracks|cracked|
        leak|leaks|leaking|collapsed|sagging|bowed|has gone|have gone|is gone|are gone|since i drew|since we drew|
        out of date|broken|burst|flood|floods|flooded|in the way|out of square|not square|are square|isn't square|
        aren't square|out of true|slopes|sloping|sloped|varies|vary|different|depends|only plasterboard|condemned|
        unsafe|opens|hinged|swings|inwards|outwards|inward|outward""",
    C.ASIDE: """
        can see why|can see how|understand why|see why you|limited access|currently travelling|currently traveling|
        nobody's asked|nobody asked|nobody has asked|you haven't asked|you didn't ask|before anybody asks|
        safe and sound|go raibh maith agat|go raibh maith agaibh|tapadh leat|if you want to know|if you need to know|
        in case you want|if that helps|in case it helps|in case it matters|
        if it matters|i'd like to say|i would like to say|if you need me|if you need anything|if anyone needs it|
        if needed|if need be|well i never|see what you mean|know what you mean|take your point|just so you know|
        what next|what now|what's next|what happens next|what do you need|how do we start|how does it work|thanks|
        thank you|many thanks|cheers|ta|kind regards|best regards|regards|best wishes|best|yours sincerely|sincerely|
        hello|hi|hiya|hey|dear|good morning|morning|good afternoon|good evening|evening|afternoon|hope this helps|
        hope that helps|hope this is ok|hope that's ok|hope you are well|hope you're well|let me know|
        please let me know|anything else|any questions|any problems|looking forward|look forward|speak soon|have a nice|
        have a good|have a great|all the best|no problem|no worries|no rush|happy to help|happy to|sorry for the delay|
        sorry for the wait|sorry it took|sorry about the delay|apologies for the delay|sorry to be slow|
        sorry for being slow|here you go|here goes|here we go|as requested|as you asked|as promised|you asked|
        answers below|see below|below|sent from my|get outlook|is that ok|is that okay|is that enough|is this ok|
        is this enough|does that help|does this help|will that do|will this do|ok|okay|great|lovely|brilliant|fab|super|
        excited|can't wait|cannot wait|pleased|xx|x|fingers crossed|merry christmas|happy new year|lol|haha|phew|
        much appreciated|appreciate|appreciated|excellent|wonderful|fantastic|amazing|awesome|lovely to|nice to|good to|
        great to|pleasure|a pleasure|enjoyed|enjoy|loved|love|loves|loving|nice|kindly|thankyou|thanks so much|
        thanks very much|thank you very much|thank you so much|thank you for|thanks for|thanks again|with thanks|
        received with thanks|acknowledge|acknowledge receipt|noted|understood|got it|got your|will do|roger|perfect|
        no problem at all|not a problem|no trouble|don't worry|not to worry|you're welcome|you are welcome|very welcome|
        welcome|sorry for|sorry about|apologies for|excuse|forgive|bear with|bear with me|busy|crack on|cracking on|
        get cracking|hectic|mad|madness|crazy|chaos|chaotic|flu|poorly|holiday|holidays|on a train|on the train|
        in a rush|in a hurry|rushing|exciting|thrilled|delighted|happy|glad|hopefully see you|see you|see you soon|
        talk soon|take care|have fun|happy easter|merry|christmas|easter|birthday|cheerio|bye|goodbye|ttfn|good luck|
        well done|good work|great job|good job|keep up|looking forward to|forward to|touch wood|weather|sunny|rain|
        raining|snow|football|weekend was|kids|grandchildren|grandson|granddaughter|grandkids|nephew|niece|dog|cat|baby|
        sorry|sincerely yours|yours faithfully|faithfully|yours truly|warm regards|warmest|all best|many regards|
        respectfully|sir or madam|madam|sir|to whom it may concern|ladies|gents|folks|everyone|both of you|
        automatic reply|out of office|out of the office|auto-reply|on my return|confidential|disclaimer|sent from|
        outlook for|iphone|ipad|android|samsung|galaxy|mobile|tablet|blackberry|laptop|phone typed|typed on|dictated|
        excuse typos|typos|autocorrect|hope you|hope you had|hope your|hope all|hope they|hope they're|hope it|
        hope this|hope that|hope everything|x x|xxx|ha|hehe|woohoo|yay|hooray|hurrah|finally|at last|got there|
        there you go|here they are|here it is|here are|here is|here's|please find|find attached|as you requested|
        per your request|as discussed|old-fashioned|late husband|late wife|would you believe|believe it or not|lucky|
        proud|tired|knackered|exhausted|fun|funny|joking|just kidding|received with|sure thing|will do thanks|
        you're a star|star|legend|sending again|resending|bounced|wrong button|proper reply|pressed send|hit send|
        sent too soon|thx|ty|tx|okey dokey|okey|dokey|okie dokie|kk|cool|sounds good|watch this space|on it|on to it|
        onto it|in hand|on my list|no prob|np|all good|will revert|duly noted|t'other|my lad|ha ha|only joking|
        annual leave|on leave|no access to|been in hospital|have been in hospital|was in hospital|were in hospital|
        came out of hospital|grazie|mille|merci|beaucoup|gracias|obrigado|obrigada|dziękuję|dzięki|diolch|dank u|
        bedankt|tack|takk|mulțumesc|teşekkürler|спасибо|presto|au revoir|ciao|adios|how kind|so kind|so nicely|
        quick one|pulling into|on the way|on my way|received this|received it|received your|have received|i've received|
        confirming receipt|for number 1 please take""",
    C.NEARLY: """
        about|around|over|under|nearly|almost|up to|roughly|near|just over|just under""",
    C.BUSINESS: """
        design|designs|designer|designers|delivery|showroom|appointment|visit|order|project|plans for|quote|quotation|
        price|team|service|guide|instructions|sheet|form|letter|chat|coffee|catalogue|brochures|samples|colours|colour|
        kitchen island|website|fitters""",
    C.LATER: """
        is sending|are sending|will be sending|
        it'll be after|it will be after|will be after|forwarded your|passed your|passed it on|passed this on|
        passed it to|forwarded it|forwarded this|at the weekend|over the weekend|this weekend|i'll try|we'll try|
        will try|try again|it'll be next|will be next|you'll have it|you will have it|you'll get it|by friday|by monday|
        by tuesday|by wednesday|by thursday|by saturday|by sunday|by the weekend|by tonight|by the end of|owe you|
        must wait|have to wait|has to wait|can wait|needs to wait|will wait|'ll wait|still to come|on its way|
        on their way|to come|to follow|will follow|later|tomorrow|tonight|weekend|this evening|this week|next week|
        next month|soon|shortly|asap|as soon as|when i get|when i'm|when my|when we|once i|once my|once we|after work|
        i'll|we'll|i will|we will|will do|will check|will measure|will send|will look|will get|will have|let me|
        going to|bear with|leave it with|on monday|on tuesday|on wednesday|on thursday|on friday|on saturday|on sunday|
        back to you|get round|get around|get to it|in the morning|hope to|plan to|trying to|try to|give me a day|
        a day or two|few days|hang fire|in due course|meanwhile|in the meantime|will be back|be back|back by|back at|
        back on|will help me|helps me|helping me|help me with it|is going to help|can help me|when it is light|
        when it's light|by daylight|in daylight|will do the measuring|is doing the measuring|must ask|have to ask|
        need to ask|got to ask|better ask|will measure it for me|will measure for me|will do it for me|
        do it for me when|will come and do""",
    C.KNOWN: """
        don't get the keys|don't get home|don't get back|don't get in|don't get paid|don't get much|don't get up|ps|
        i agree|we agree|agreed|full marks|correctly|matches|match|agrees|copy|perfectly|p.s.|pps|p.p.s.|looks out|
        looks on|looks onto|looks over|step ladder|step-ladder|stepladder|bad|fast|bald|rate|halt|herd|wand|can't miss|
        cannot miss|top floor|ground floor|first floor|second floor|third floor|ignored you|ignoring you|forgotten you|
        whatsoever|yours|a|an|the|this|that|these|those|it|its|it's|they|them|their|there|there's|here|here's|i|i've|
        i'm|i'd|i'll|me|my|mine|we|we've|we're|we'll|us|our|ours|you|your|you'll|you've|he|she|his|her|is|are|was|were|
        be|been|being|am|'s|'re|has|have|had|having|do|does|did|done|of|to|for|with|from|off|on|in|at|into|onto|as|than|
        then|so|and|but|or|too|also|just|only|exactly|precisely|bang on|dead on|spot on|exact|precise|bang|dead|got|get|
        gets|getting|comes|come|came|comes to|coming|measures|measure|measured|measuring|reads|read|reading|says|say|
        shows|showed|show|found|find|checked|check|checking|taken|took|take|used|using|put|again|now|today|yesterday|
        this morning|this afternoon|last night|earlier|first|second|third|last|next|one|ones|two|three|four|other|
        another|same|right|left|middle|centre|center|top|bottom|end|ends|high up|low|down|up|end to end|place|places|
        both|either|which|who|where|what|when|how|why|because|since|while|after|before|until|still|already|very|quite|
        well|good|fine|clear|clearly|definitely|certainly|certain|sure|of course|absolutely|positive|confirm|confirmed|
        confirming|correct|yes|yep|yeah|yup|aye|indeed|true|please|steel|metal|proper|tape measure|measuring tape|
        with a tape|laser|husband|wife|partner|son|dad|daughter|held|holding|ladder|steps|twice|once|times|time|
        three times|finished|floor to ceiling|floor|ceiling|plaster|skirting|inside|outside|inner|outer|underside|
        bottom edge|edge|frame|architrave|included|including|excluding|not including|without|cm|mm|m|metres|meters|
        metre|meter|centimetres|centimeters|inches|inch|feet|foot|ft|units|in total|total|overall|altogether|whole|
        entire|equals|equal|answer|answers|question|number|numbers|no|nr|item|point|q|measurement|measurements|figure|
        figures|height|width|depth|length|distance|size|dimension|dimensions|value|will|can|could|would|should|must|
        need|needs|needed|know|see|seen|look|looking|looked|go|goes|going|went|make|makes|made|give|given|gives|
        think of|call|called|room|kitchen|bathroom|bedroom|house|flat|home|property|bit|part|piece|section|stretch|
        thing|things|side|area|spot|wall|window|sink|worktop|door|back|front|far|near|nearest|opposite|facing|above|
        below|under|underneath|over|behind|beside|between|through|along|around|across|asked|ask|wanted|want to know|
        missing|required|sent|send|sending|wrote|write|written|added|adding|add|note|noted|noting|all|any|some|every|
        each|few|lot|lots|enough|everything|anything|something|nothing else|etc|e.g|i.e|re|regarding|concerning|
        about that|as for|for the record|fyi|btw|by the way|straight|straightforward|level|even|square|standing|stood|
        lying|taking|there are|there is|we have|we've got|i have|i've got|have got|just got|like|like you said|though|
        although|however|otherwise|anyway|anyhow|apart from|except|old|new|big|small|little|large|larger|smaller|bigger|
        main|real|full|half|quarter|much|many|most|least|more|less|easier|easy|hard|careful|carefully|properly|accurate|
        accurately|eventually|finally|managed|able|manage|helped|help|let|mind|sorry|apologies|oh|ah|er|um|erm|
        right then|o|actual|definite|whilst|whoever|myself|himself|herself|kids|live|lives|sits|sit|situated|located|
        mounted|fixed|fitted|hidden|kept|runs|run|enters|enter|comes in|goes out|leaves|turned|turn|stop|start|starts|
        starting|nearest the|cold|hot|mains|town|supply|gas|electric|oil|lpg|solar|heat|pump|air|source|combi|system|
        type|kind|gone|never mind|n|head|sill|cill|reveal|recess|boiler|ledge|connected|available|present|exist|exists|
        supplied|this old flat|this old house|this old place|this old cottage|an old house|an old flat|
        old house like this|an old place|who says|whose|they're|you're|i'm afraid|afraid|checked twice|each time|
        every time|quick|quickly|reply|replying|letter|emails|list|listed|order|above is|following|follows|asking|typed|
        typing|sitting|hand|hands|helper|friend|brother|sister|mum|mother|father|son-in-law|daughter-in-law|
        neighbour helped|good eyes|eyes|glasses|specs|handwriting|writing|scrawl|scribble|smudge|smudged|nought|noughts|
        eight|eights|threes|seven|zero|digit|digits|numeral|looks like that|also measured|extras|while i was at it|
        while at it|in case|be precise|to be precise|to be exact|to be sure|for certain|for sure|without doubt|no doubt|
        guaranteed|honest|honestly|truthfully|really is|truly|solid|wooden|wood|stone|plastic|white|grey|black|red|blue|
        green|tiny|huge|wee|iron|lid|hatch|hidden away|tucked|tucked away|hoover|ironing board|coats|shoes|bins|bin|
        bike|bikes|gate|path|drive|driveway|pavement|street|road|garden|front garden|back garden|porch|lobby|entrance|
        entry|hall|hallway|landing|loft|attic|cellar|basement|garage|shed|utility|utility room|larder|pantry|cupboard|
        cupboards|airing cupboard|meter cupboard|spare room|spare bedroom|box room|downstairs|upstairs|loo|cloakroom|
        washing machine|tumble dryer|dryer|fridge|freezer|cooker|oven|basin|bath|shower|stairs|staircase|step|shelf|
        shelves|panel|flap|trapdoor|boxed in|box|cabinet|unit|low down|eye level|head height|waist height|knee height|
        ground level|lhs|rhs|ext|int|ffl|approx|school|work|away|team|ur|ans|u|r|pls|plz|cos|coz|bc|w|hth|tho|thru|
        meter box|former|latter|shorter one|taller one|fri|sat|sun|mon|tue|tues|wed|thu|thur|thurs|monday|tuesday|
        wednesday|thursday|friday|saturday|sunday|on the nose|printed|passed|blind|blinds|curtain|curtains|tape|sixes|
        zeros|zeroes|fours|fives|nines|sevens|look like|tother|lad|lads|arguing|argued|all afternoon|reading it|sooner|
        hangs|hang|stands|outhouse|lean-to|yard|brick housing|housing|bleach|plant|tree|mixing my units|mixing|
        mixed units|both units|has both|by|next to|beyond|towards|against|within|out|lowest|highest|deepest|shallowest|
        widest|narrowest|tallest|b|c|st|nd|rd|th|came out at|works out|work out|turned out|turns out at|made it|
        i make it|we make it|i make|reckoned|counted|repeat|repeated|average of|accuracy|midway|halfway|alongside|
        adjacent|closest|furthest|farthest|nearer|each side|either side|either end|each end|both ends|both sides|
        corner to corner|wall to wall|plus minus nothing|y|reading it upside down|read it upside down|tape upside down|
        upside down sorry|round here|round|flats|blocks|block|storage heaters|heaters|squashed|wonky writing|fuses|
        option|options|choice|suggestion|suggested|suggest|offered|ironing|laundry|funeral|innings|spelled|sized|
        original""",
}
"""Each class with its words and phrases between bars; longer ones win."""
