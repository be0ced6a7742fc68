"""What waits for a person in a customer's words, and why something said is in doubt."""

from __future__ import annotations

WORDS = {
    "doubt-only-pointed-at": "only the words round it and its size say what it is of",
    "doubt-two-for-one": "two lengths are given where one was asked for",
    "doubt-a-digit": "it may be a digit, not the whole length",
    "doubt-far-from-read": "it is far from what was read",
    "doubt-unusual": "it is outside what is usual",
    "doubt-could-not-properly": "they say that they could not do it properly",
    "doubt-limited": "a “but” beside it may limit it",
    "doubt-change-or-wrong": "something there is going to change, or the plan is said to be wrong",
    "doubt-difference": "it may be how much one thing differs from another",
    "doubt-yes-or-no-and-more": "it says yes or no, and then something else",
    "doubt-where-it-stands": "it may say where on the plan the number stands",
    "doubt-yes-and-more": "it says yes, and then something else",
    "doubt-orders-differ": "names and lengths stand in different orders",
    "doubt-one-of-several": "it is of one window of several",
    "doubt-not-certain-where": "it does not say for certain where it is",
    "doubt-two-heights": "two heights are given for one spot",
    "doubt-another-end": "it may be measured to something else",
    "doubt-which-unit": "it may be meant in centimetres, in metres or in inches",
    "doubt-from-the-worktop": "it may be measured from the worktop, not the floor",
    "doubt-asked": "it is asked, not told",
    "doubt-taken-back": "they take it back",
    "doubt-said-taken-back": "they take back what they said of it",
    "doubt-not-measured-properly": "they say that they could not measure it properly",
    "doubt-one-for-several": "one length is given for several things",
    "doubt-whole-window": "it may be of the window as a whole",
    "doubt-taken-back-later": "they take it back later",
    "doubt-not-the-whole-house": "it may not be meant of the whole house",
    "doubt-perhaps-not-measured": "it may mean that it was not measured",
    "doubt-perhaps-denied": "it may deny what it seems to say",
    "doubt-guess": "it is a guess",
    "doubt-not-plain": "it is not plain what this length is of",
    "doubt-another-beside": "another length stands beside it",
    "doubt-unusual-beside": "another length beside it is outside what is usual",
    "doubt-two-lengths": "two lengths are given for it",
    "doubt-uncertain": "they are not certain of it",
    "doubt-another-room": "it may be meant of another room",
    "doubt-hearsay": "it is somebody else's word",
    "doubt-will-change": "something there is going to change",
    "doubt-not-all-known": "not every word of it is understood",
    "doubt-another-in-place": "another length is said in its place",
    "doubt-remark-beside": "a remark beside it may change it",
    "doubt-denied-and-said": "it is both denied and said",
    "doubt-something-else-said": "something else is said of it",
    "doubt-not-certain-none": "it does not say for certain that there is none",
    "doubt-which-request": "it does not say which request it answers",
    "doubt-miscounted": "more or fewer lengths came than were asked for",
    "doubt-no-tape-length": "it is no length that a tape shows",
    "need-not-understood": "Words of the customer's that were not understood.",
    "need-for-the-plan": "Lengths for the plan: a person must say which wall each is of.",
    "need-cannot-tell": "The customer cannot tell what the number on the plan says.",
    "need-cannot-tell-opening": "The customer cannot tell what the opening on the plan is.",
    "need-asks-something": "The customer asks something.",
    "need-will-change": "The customer says that something will change, or that the plan is wrong.",
    "need-takes-back": "The customer takes back something said before.",
    "need-wants-somebody": "The customer may want somebody to answer.",
    "need-may-be-unable": "The customer may not be able to do it.",
    "need-cannot-see": "The customer cannot see or open what was sent.",
    "need-answers-a-designer": "It answers a request that a designer added to our letter.",
    "need-sent-back": "Nothing but our own words came back: what the customer chose may be marked in them.",
    "need-too-long": "The message is longer than the program reads.",
    "fate-used": "used",
    "fate-besides": "told besides",
    "fate-aside": "not about the survey",
    "fate-unread": "unread",
    "hazard-gas": "The customer tells of a smell of gas or a leak. Phone them now. Usual advice (from memory): use no"
    " switches, flames or telephone indoors, open doors and windows, leave the house, and ring the National Gas"
    " Emergency Service from outside: 0800 111 999 in Great Britain, 0800 002 001 in Northern Ireland. Only a Gas"
    " Safe registered engineer says when it is safe.",
    "hazard-carbon-monoxide": "The customer tells of carbon monoxide, or signs of it. Phone them now. Usual advice"
    " (from memory): turn the appliance off if that is safe, open doors and windows, leave the house, ring the"
    " National Gas Emergency Service on 0800 111 999 (Northern Ireland 0800 002 001), and see a doctor with any"
    " headache, sickness or dizziness. Only a Gas Safe registered engineer says when it may be used again.",
    "hazard-electricity": "The customer tells of live, bare or burning electrics. Phone them now. Usual advice (from"
    " memory): touch nothing and keep others away; with smoke or fire, leave and ring 999. Only a qualified"
    " electrician says when it is safe; bare cables outside are for the network operator, on 105.",
    "hazard-water": "The customer tells of water that comes in. Phone them now. Usual advice (from memory): turn the"
    " water off at the stop tap if it can be reached safely, keep out from under a ceiling that bulges, and touch no"
    " light, switch or socket that may be wet; in danger, ring 999. A plumber stops the leak; only a qualified"
    " electrician says when wet electrics are safe.",
    "hazard-fire": "The customer tells of fire or smoke. Phone them now. Usual advice (from memory): leave, stay out,"
    " and ring 999.",
    "hazard-asbestos": "The customer tells of asbestos, or what may be asbestos. Phone them now. Usual advice (from"
    " memory): leave it alone; do not drill, scrape, sand or sweep it, and keep out where it is broken. Only a"
    " competent surveyor or a laboratory can say what it is, and the rules where they live say who may remove it.",
    "hazard-fall": "The customer tells of a fall or an injury. Phone them now. Ask whether they are well (an"
    " emergency: 999), and offer to measure for them; nobody is to climb again for us.",
    "hazard-collapse": "The customer tells of something that has come down or is about to. Phone them now. Usual"
    " advice (from memory): keep out of the room. A structural engineer says whether it is safe.",
    "need-misread": "Two blind looks at an accepted number read something else than the program did.",
    "hazard-of-a-stranger": "{why} {strange}",
    "need-phone": "The customer asks to be phoned.",
    "need-stop": "The customer asks us to write no more.",
    "need-settles-nothing": "What the customer answered settles nothing, and no further letter asks again.",
    "need-not-asked": "No letter asks for it: settle it here, or write to the customer.",
    "need-look-at-openings": "One look at the sketch may settle what the letter would ask.",
    "need-measures": "We asked what the number {number} measures, and the customer has answered: only you settle it.",
    "need-one-look": "One look at the ink may settle what the letter would ask.",
}
