"""Everything of one job, laid out for its examination."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from intake.domain.inspection.bar import with_bar
from intake.domain.mail.rhythm import LONGEST_WISH, Situation, phone_asked, stop_asked
from intake.domain.pictures.coverage import Coverage, FieldOfView, Reach, coverage_of, field_of_view, reach_of
from intake.domain.said.by_mail import OwnWords, heard
from intake.domain.survey.asking import needed, requests_of
from intake.domain.survey.fold import Survey, fold
from intake.domain.words.fates import JudgedClause
from intake.domain.words.hazards import hazards
from intake.domain.words.ours import without_letters
from intake.domain.words.waiting import TOO_LONG
from intake.model.answering import Answering, AnsweringRule
from intake.model.card import Card
from intake.model.checklist import Checklist, RoomKind
from intake.model.errors import NotFound
from intake.model.job import Job
from intake.model.letter import LetterKind
from intake.model.need import Need, NeedKind
from intake.model.phrase import as_said, phrase
from intake.model.picture import Panorama, Picture, Subject
from intake.model.reading import SketchReading
from intake.model.word import Archived, Assigned, CustomerWord, NeedSeen, NeedTaken, RoomWord, Stop, Word
from intake.store.bars import Bars
from intake.store.database import Tables
from intake.store.letters import OUT, WAITING, KeptLetter
from intake.store.messages import KeptMessage, kept_message
from intake.store.pictures import KeptPicture
from intake.wording.desk import worded
from intake.work.lots import misread
from intake.work.sent_back import sent_back
from intake.work.what_counts import NOT_BROUGHT_IN, Settled, bearing, settled
from intake.work.what_counts import may_bear_labels as may_bear_labels

NOBODY_VOUCHES = "Our mail server does not vouch for the sender, so these words count for nothing yet."
USUAL_FOCAL = 26.0
"""The main lens of most telephones, in 35 mm terms, where a picture does not tell (common practice, no source)."""


@dataclass(frozen=True)
class JobFile:
    """One job with people's words on it. `words` are those of the desk that stand, in order; `waiting` are sketches
    not read yet."""

    job: Job
    messages: tuple[KeptMessage, ...]
    survey: Survey
    clauses: Mapping[str, tuple[JudgedClause, ...]]
    """What became of each clause of the customer's words, by the key of the message."""
    needs: tuple[Need, ...]
    """What waits for a person, most urgent first; what a person has dealt with is not among it."""
    words: tuple[Word, ...]
    letters: tuple[KeptLetter, ...]
    stopped: str
    reminders: int
    waiting: tuple[str, ...]
    panorama: tuple[tuple[str, ...], Panorama] | None
    phone: str = ""
    """The customer's telephone number, where somebody at the desk wrote it down."""
    designer: str = ""
    """The account that the job is assigned to."""
    archived: bool = False
    """It is done with: a designer said so, and the customer has not written since."""
    uncounted: tuple[Picture, ...] = ()
    """Pictures of messages that do not count: shown, and evidence of nothing."""
    rivals: tuple[str, ...] = ()
    """Addresses whose job it may be as well as the customer's: a person must say."""

    @property
    def pictures(self) -> tuple[Picture, ...]:
        """Those that count."""
        return self.survey.pictures

    @property
    def answerable(self) -> tuple[KeptMessage, ...]:
        """The messages that a letter may answer, in order; a held one only by a person's release. What nobody vouches
        for is answered only in a job that has nothing else; what the desk wrote down, where an address is known."""
        found = (m for m in bearing(self.messages) if m.answering in (Answering.MAY, Answering.HOLD))
        return tuple(
            m for m in found if m.answering_rule != AnsweringRule.AT_THE_DESK or self.job.customer.email
        )

    @property
    def answered(self) -> KeptMessage:
        """The message that a letter answers: the customer's own latest, else the latest of another whom the job knows,
        else what the desk wrote down of them. There must be one to answer."""
        mail = [m for m in self.answerable if m.answering_rule != AnsweringRule.AT_THE_DESK]
        own = [m for m in mail if m.credited == self.job.customer.email]
        return (own or mail or list(self.answerable))[-1]

    @property
    def partners(self) -> tuple[KeptMessage, ...]:
        """The latest message of each other person who writes in this job: heard, from an address of their own that our
        server vouches for, and of another name than who is answered. Who was only copied in, or named, is none."""
        to, found = self.answered, {}
        if to.answering != Answering.MAY or self.rivals:
            return ()
        for m in self.answerable:
            own = m.counts and m.heard and m.vouched and m.sender_email == m.credited
            if own and m.answering == Answering.MAY and m.credited != to.credited:
                found[m.credited] = m
        known = {to.sender_name.casefold()}
        return tuple(m for m in found.values() if m.sender_name and m.sender_name.casefold() not in known)

    @property
    def last_message_at(self) -> datetime:
        return max((m.received_at for m in self.answerable), default=self.job.last_message_at)

    @property
    def written(self) -> tuple[KeptLetter, ...]:
        """The letters to the customer and those brought in; not what somebody got who is not heard any more."""
        others = {m.sender_email for m in self.messages if not m.heard} | set(self.rivals)
        return tuple(k for k in self.letters if not others & {*k.to[:1]})

    def situation(self, complete: bool, wanted: tuple[str, ...]) -> Situation:
        """Where the job stands with its customer, for the rhythm of letters."""
        gone = [k for k in self.written if k.state in OUT]
        asking = [k for k in gone if k.kind is not LetterKind.REMINDER]
        return Situation(
            last_message_at=self.last_message_at,
            complete=complete,
            wanted=wanted,
            stopped_because=self.stopped or self._to_be_phoned(),
            bounced=bool(gone) and gone[-1].bounced_at is not None,
            letter_at=max((k.sent_at or k.decided_at for k in asking), default=None),
            asked=requests_of(needed(asking[-1].letter.asks)) if asking else (),
            reminders=self.reminders,
            thanked=any(k.kind is LetterKind.COMPLETE for k in gone),
        )

    @property
    def passed_over(self) -> frozenset[str]:
        """The items that letters asked for as no more than a help, and that the customer answered without."""
        gone = [
            k for k in self.written if k.state in OUT and (k.sent_at or k.decided_at) < self.last_message_at
        ]
        return frozenset(i for k in gone for ask in k.letter.asks if ask.optional for i in ask.items)

    @property
    def seen(self) -> frozenset[str]:
        """The keys of what waited for a person and was dealt with."""
        return _dealt_with(self.words)

    @property
    def blocking(self) -> tuple[Need, ...]:
        """The needs that letters wait for: a stranger's mail in the customer's name is shown, and stops none."""
        return tuple(n for n in self.needs if not n.strange)

    def _to_be_phoned(self) -> str:
        """A customer who tells of a danger or asks to be phoned is not written to until somebody has phoned."""
        return next((worded(n.why) for n in self.blocking if n.kind in (NeedKind.HAZARD, NeedKind.PHONE)), "")

    @property
    def in_danger(self) -> bool:
        """Whether the customer tells of a danger and nobody has dealt with it, even where they want no more letters."""
        return any(n.kind is NeedKind.HAZARD for n in self.needs)

    @property
    def unthanked(self) -> tuple[Picture, ...]:
        """The pictures that came since the last letter went out."""
        gone = [k.sent_at or k.decided_at for k in self.letters if k.state in OUT]
        since = {m.sha256 for m in self.messages if not gone or m.received_at > gone[-1]}
        return tuple(p for p in self.pictures if p.message in since)

    @property
    def views(self) -> tuple[Picture, ...]:
        """The distinct photographs of the room itself."""
        return views_of(self.pictures)

    def _compared(self) -> Panorama | None:
        """What comparing the views found; None until these very ones were compared."""
        ids, panorama = self.panorama or ((), None)
        return panorama if ids == tuple(p.id for p in self.views) else None

    def coverage(self) -> Coverage | None:
        """How the views lie round the room, counted as in `views`; None until they were compared."""
        compared = self._compared()
        return coverage_of([_field(p).across for p in self.views], compared.overlaps) if compared else None

    def reach(self) -> Mapping[str, Reach]:
        """Whether floor and ceiling are in view, by the id of the photograph; empty until they were compared."""
        compared = self._compared()
        pitches = compared.pitches if compared else ()
        return {p.id: reach_of(_field(p).up, pitch) for p, pitch in zip(self.views, pitches, strict=False)}


def views_of(pictures: Sequence[Picture]) -> tuple[Picture, ...]:
    """The distinct photographs of the room itself."""
    return tuple(p for p in pictures if p.subject is Subject.ROOM and not (p.same_as or p.facts.problem))


def _field(picture: Picture) -> FieldOfView:
    facts = picture.facts
    return field_of_view(facts.focal_length_35mm or USUAL_FOCAL, facts.width, facts.height)


@dataclass(frozen=True)
class JobRows:
    """What the tables hold of one job. `version` counts the changes of its material; `readings` are by picture id."""

    job: Job
    version: int
    messages: tuple[KeptMessage, ...]
    cards: tuple[Card, ...]
    words: tuple[Word, ...]
    pictures: tuple[KeptPicture, ...]
    readings: Mapping[str, SketchReading]
    letters: tuple[KeptLetter, ...]
    reminders: int
    panorama: tuple[tuple[str, ...], Panorama] | None
    misread: tuple[Need, ...] = ()
    """The numbers that blind looks have shown to be misread."""

    def settled(self) -> Settled:
        """Whose job it is, and the pictures with what they show settled: those that count, and those that do not."""
        pictures = [k.picture for k in self.pictures]
        letters = {k.message_id: k.to[0] for k in self.letters if k.to and k.state in OUT}
        return settled(self.job, self.messages, self.cards, pictures, self.readings, self.words, letters)

    def display_of(self, picture: str) -> str:
        """The file that shows a picture; "" where it could not be decoded."""
        return next((k.display_file for k in self.pictures if k.picture.id == picture), "")


def load(tables: Tables, job_id: str) -> JobRows:
    """All that is kept of the job `job_id`, merges followed. Raises NotFound."""
    found = tables.jobs.counted(job_id)
    if found is None:
        raise NotFound(f"There is no job {job_id}", "`intake jobs` lists them")
    job, version, reminders = found
    pictures = tuple(tables.pictures.of_job(job.id))
    ids = dict.fromkeys(k.picture.id for k in pictures)
    messages = tables.messages.rows_of_job(job.id)
    words = tables.jobs.words(job.id)
    bars = Bars(tables.db).bars() if ids else {}
    return JobRows(
        job=job,
        version=version,
        messages=tuple(kept_message(row) for row in messages),
        cards=tuple(tables.index.cards_of(messages)),
        words=words,
        pictures=pictures,
        readings={
            i: with_bar(reading, bars.get(reading.version))
            for i in ids
            if (reading := tables.pictures.reading(i)) is not None
        },
        letters=tuple(tables.letters.of_job(job.id)),
        reminders=reminders,
        panorama=tables.pictures.panorama(job.id) if ids else None,
        misread=tuple(misread(tables, list(ids), words)),
    )


def open_file(tables: Tables, job_id: str, checklists: Mapping[RoomKind, Checklist]) -> JobFile:
    """Load the job `job_id` and lay it out. Raises NotFound."""
    return lay_out(load(tables, job_id), checklists)


def lay_out(rows: JobRows, checklists: Mapping[RoomKind, Checklist]) -> JobFile:
    """Read the mail and fold what people said over what was read."""
    words = rows.words
    letters = tuple(k for k in rows.letters if not (k.beside or (k.by_desk and k.state in WAITING)))
    known = rows.settled()
    pictures, told = known.pictures, known.heard
    job = replace(rows.job, room=_room(told.messages, words), customer=told.customer)
    read = {p.id: rows.readings[p.id] for p in pictures if to_read(p) and p.id in rows.readings}
    checklist = checklists[job.room]
    messages = _in_own_words(told.messages, rows.letters)
    back = sent_back(told.messages, messages, pictures)
    mail = heard([_own_words(m, letters) for m in messages if m.counts], checklist)
    title = f"{job.room.value.capitalize()}, {job.customer.name or job.customer.email}"
    return JobFile(
        job=job,
        messages=messages,
        survey=fold(checklist, pictures, read, (*mail.words, *words), title),
        clauses=mail.clauses,
        needs=_open_needs([*_asked_beside_the_survey(messages), *back, *mail.needs, *rows.misread], words),
        words=words,
        letters=letters,
        stopped=_stopped(() if told.rivals else messages, words),
        reminders=rows.reminders,
        panorama=rows.panorama,
        waiting=tuple(p.id for p in pictures if to_read(p) and p.id not in read),
        phone=next((w.phone for w in reversed(words) if isinstance(w, CustomerWord)), ""),
        uncounted=known.uncounted,
        designer=next((w.designer for w in reversed(words) if isinstance(w, Assigned)), ""),
        archived=_archived(rows.messages, words),
        rivals=told.rivals,
    )


def _own_words(message: KeptMessage, letters: Sequence[KeptLetter]) -> OwnWords:
    """What a message says in answer to the latest letter that had gone out before it."""
    gone = [k for k in letters if k.state in OUT and (k.sent_at or k.decided_at) <= message.received_at]
    asks = gone[-1].letter.asks if gone else ()
    return OwnWords(message.key, message.credited, message.at, message.own_words, asks)


def _archived(messages: Sequence[KeptMessage], words: Sequence[Word]) -> bool:
    """Whether a designer put the job away, and nobody has written since."""
    put_away = [w for w in words if isinstance(w, Archived)]
    came = {m.sha256 for m in messages if not m.automatic}
    return bool(put_away) and came <= set(put_away[-1].messages)


def _stopped(messages: Sequence[KeptMessage], words: Sequence[Word]) -> str:
    """Why no more letters go: a designer's word, else the customer's own, once it is clear whose job it is."""
    decided = [w.reason for w in words if isinstance(w, Stop)]
    asked = any(m.counts and stop_asked(m.own_words) for m in messages)
    return decided[-1] if decided else "the customer asked us to stop writing." if asked else ""


def _asked_beside_the_survey(messages: Sequence[KeptMessage]) -> list[Need]:
    """What customers ask of us beside the survey: to be phoned, to be left in peace; and what nobody vouches for, which
    counts only once a designer has looked."""
    strange = [m for m in messages if not (m.counts or m.automatic) and m.own_words.strip()]
    found = [
        Need(NeedKind.UNREAD, m.own_words.strip()[:LONGEST_WISH], as_said(_strange(m)), m.key, strange=True)
        for m in strange
    ]
    for message in strange:
        for need in hazards(message.own_words, message.key):
            why = phrase("hazard-of-a-stranger", why=need.why, strange=_strange(message))
            found.append(replace(need, why=why, strange=True))
    for message in (m for m in messages if m.counts):
        if words := phone_asked(message.own_words):
            found.append(Need(NeedKind.PHONE, words, phrase("need-phone"), message.key))
        if stop_asked(message.own_words):
            why = phrase("need-stop")
            found.append(Need(NeedKind.STOP, message.own_words.strip()[:LONGEST_WISH], why, message.key))
    return found


def _strange(message: KeptMessage) -> str:
    return NOBODY_VOUCHES if message.heard else NOT_BROUGHT_IN


def _dealt_with(words: Sequence[Word]) -> frozenset[str]:
    return frozenset(w.need for w in words if isinstance(w, NeedSeen | NeedTaken))


_OF_WORDS = (NeedKind.UNREAD, NeedKind.QUESTION)
"""Needs of words that one which was understood may say already; of a mail that is too long they hold the beginning."""


def _open_needs(needs: Sequence[Need], words: Sequence[Word]) -> tuple[Need, ...]:
    """The needs that nobody has dealt with yet, most urgent first, each once."""
    dealt_with = _dealt_with(words)
    urgency = list(NeedKind)
    understood = [n for n in needs if n.kind in (NeedKind.HAZARD, NeedKind.PHONE, NeedKind.STOP)]
    said = [n for n in needs if n.kind not in _OF_WORDS or not any(_within(w, n) for w in understood)]
    left = {n.key: n for n in said if n.key not in dealt_with}
    return tuple(sorted(left.values(), key=lambda n: urgency.index(n.kind)))


def _within(understood: Need, unread: Need) -> bool:
    """Whether the words that nobody understood are those of another need: of a wish to be phoned the whole line is
    kept, and what else stands in it is still to be read."""
    if understood.message != unread.message or unread.why == TOO_LONG:
        return False
    text = understood.text
    return text in unread.text or (unread.text in text and bool(phone_asked(unread.text)))


def to_read(picture: Picture) -> bool:
    """A plan that can be read and was not seen before."""
    return picture.subject is Subject.SKETCH and not picture.same_as and not picture.facts.problem


def _room(messages: Sequence[KeptMessage], words: Sequence[Word]) -> RoomKind:
    """The designer's word, else the first room that the customer named."""
    decided = [w.room for w in words if isinstance(w, RoomWord)]
    named = [m.room for m in bearing(messages) if m.room is not RoomKind.UNKNOWN]
    return (decided[-1:] or named[:1] or [RoomKind.UNKNOWN])[0]


def _in_own_words(messages: Sequence[KeptMessage], letters: Sequence[KeptLetter]) -> tuple[KeptMessage, ...]:
    """The messages without what stands in a letter of ours that had gone out by then: one that asks back quotes what
    the customer wrote before, and that stays theirs."""
    gone = [k for k in letters if k.state in OUT]
    return tuple(
        replace(m, own_words=without_letters(m.own_words, texts))
        if (texts := [k.text for k in gone if not _answers(k, m, messages)])
        else m
        for m in messages
    )


def _answers(letter: KeptLetter, message: KeptMessage, messages: Sequence[KeptMessage]) -> bool:
    """Whether a message was there when a letter was written: the letter answers it, or a later one."""
    answered = next((m for m in messages if m.key == letter.in_reply_to), None)
    return message.key in letter.letter.references or (answered is not None and message.at <= answered.at)
