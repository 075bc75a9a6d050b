/* SPDX-License-Identifier: MIT */
/* All words of a ring-out. In a sentence
 *
 *     @m the mix, or "all mixes"    @i the input    @h a frequency    @o the other one
 *     @d the figure in dB           @w what was won
 *     @l the same as a level: "at -3 dB", "off"
 *
 * and what stands in brackets is left out where one of its figures is not known. Where something
 * can be too loud, the way back stands before anything else.
 */
#include "ring/say.h"

#include <math.h>
#include <string.h>

#include "proof/say.h"

const char *const ring_cautions[] = {
    "Ringing out damages hearing: protect your ears, and those of everybody on the stage.",
    "In-ears out, packs down, before anything is raised.",
    "Keep one hand on the master: when it howls, that goes down first.",
    "Raise slowly. Local noise rules and the venue's responsible person decide.",
    "This does not hear the room, and replaces no limiter, no measurement, no qualified person.",
};
const int ring_caution_count = (int)(sizeof ring_cautions / sizeof *ring_cautions);

const char ring_why_together[] =
    "With all open there is less: four wedges that had 6 dB each alone had 8 dB less together in "
    "simulation, that is: past onset. So all masters begin 12 dB down.";

static const char *const of_events[RING_KINDS] = {
    [RING_MIX] = "@m is being rung out",
    [RING_TOGETHER] = "all together now, from 12 dB down",
    [RING_RISE] = "up: @m",
    [RING_CUT] = "a ring in @m[ at @h]: @d dB out there",
    [RING_LAST_PUSH] =
        "the last push of @m: that ring stays uncut[. @w dB won since the first ring]",
    [RING_STEP_BACK] = "@m: @d dB back",
    [RING_VOICE] = "a voice at @i",
    [RING_PUT_BACK] = "@m is put back",
    [RING_PROVED] = "proved: @m stood and did not ring[, within @d dB of here]",
    [RING_HAND] = "another hand[ at @i][ in @m]: what was between proves nothing. Settle who rings "
                  "out",
    [RING_LOST] = "the desk is not heard: hand on the master, and no push. What was between proves "
                  "nothing",
    [RING_BACK] = "the desk is heard again, and read anew",
    [RING_RECALL] = "a scene was recalled: masters down first, then look at every gain. What was "
                    "between proves nothing",
    [RING_GATE] = "[the gate of @i: ]a gate that is on, or not known, hides a ring: nothing is "
                  "proved behind it. Gate off while ringing out",
    [RING_NOT_KNOWN] = "not everything on the way into @m is known: nothing is proved there. "
                       "`gainwarden audit` lists what is missing",
    [RING_FOUR_DEEP] = "four bands of @m are 6 dB down: from here 3 dB is usually enough",
    [RING_QUIETER] =
        "seven cuts: @m is mostly getting quieter[, @d dB for speech][, for @w dB won]. "
        "One push more, leave that ring, 6 dB back",
    [RING_NOT_FLAT] = "the equaliser of @m was not flat[, @d dB in one band]: allowed, and counted "
                      "from there",
    [RING_MASTER_OFF_UNITY] = "the master of @m is @l, not at 0: allowed, if the show has it "
                              "there",
    [RING_STARTS_HIGH] = "step back: the preamp of @i starts @d dB above its lowest. Down there "
                         "first, then 1 dB at a time",
    [RING_OWN_SEND] = "the send of @i into @m is @l, not at 0: the preamp down first, then the "
                      "send to 0",
    [RING_OTHER_OPEN] = "@i is open into @m too: close it, or its ring is taken for this one",
    [RING_HIGH_PASS_OFF] = "the high-pass of @i is off: on with it before anything is cut",
    [RING_FAST] = "step back: @d dB in a second is too fast for ears. Then 1 dB at a time, and "
                  "listen",
    [RING_DEEP] = "@d dB at once at @h: only as deep as silences it, 6 dB at most",
    [RING_TWO_FOR_ONE] =
        "@h and @o for one ring: step back 6 dB, put one of them back, and up slowly",
    [RING_NOT_RUNG] =
        "@h and @o at once, too far apart for one ring: one of them did not ring. Step "
        "back 6 dB, put that one back, and up slowly",
    [RING_MANY] =
        "the eighth cut of @m: five to seven are the most. Step back 6 dB, and let a voice "
        "decide",
    [RING_NO_STEP_BACK] = "step back: @m was left at its ring. 6 dB down before anything else",
    [RING_TOGETHER_HIGH] = "masters down: @m begins @d dB too high. All of them 12 dB down before "
                           "anything is open together",
    [RING_PUSHED_FAR] = "back with @m: @d dB up is far enough",
    [RING_NOT_PUT_BACK] = "put @m back first[: it is still @d dB up]",
};

/* Where a spectrum showed it. */
static const char of_heard_cut[] = "a ring in @m at @o: @d dB out of the band of @h";

static const char *const of_next[RING_NEXTS] = {
    [RING_NEXT_WAIT] = "do not push: the desk is not heard",
    [RING_NEXT_STEP_BACK] = "step back[ @d dB]: @m",
    [RING_NEXT_PUT_BACK] = "put @m back[, @d dB down]",
    [RING_NEXT_MASTERS_DOWN] = "all masters 12 dB down",
    [RING_NEXT_PREPARE] = "make @m ready",
    [RING_NEXT_RINGS] = "@h stands out in @m: if it rings, cut it or step back",
    [RING_NEXT_RAISE] = "raise @m 1 dB at a time, to the first ring",
    [RING_NEXT_RAISE_ON] = "raise @m half a dB at a time, to the next ring",
    [RING_NEXT_SILENCE] = "cut until it is silent, 6 dB at most",
    [RING_NEXT_LAST_PUSH] = "once more up. Leave that ring, then 6 dB back",
    [RING_NEXT_VOICE] = "let a voice try @m",
    [RING_NEXT_MIX] = "go on with @m",
    [RING_NEXT_OPEN_ALL] = "masters stay down: open every microphone and mix",
    [RING_NEXT_RAISE_TOGETHER] = "all masters, half a dB at a time, to the first ring",
    [RING_NEXT_PUSH] = "push @m alone, half a dB at a time, 10 dB at most",
    [RING_NEXT_DONE] = "done",
};

static const char *const of_items[RING_READY_ITEMS] = {
    [RING_READY_PREAMP] = "the preamp is @d dB above its lowest",
    [RING_READY_OWN_SEND] = "its own send is @l, not at 0",
    [RING_READY_MASTER] = "its master is @l, not at 0",
    [RING_READY_OTHERS] = "@i is open into it too",
    [RING_READY_HIGH_PASS] = "the high-pass of @i is off",
    [RING_READY_FLAT] = "its equaliser is not flat: @d dB in one band",
};

/* Where nobody knows which of them is rung out. */
static const char of_several_open[] = "more than one microphone is open into it";

/* ---- a sentence ---- */

static bool
is_told(const struct ring_event *event, char figure)
{
    switch (figure) {
    case 'm':
        return true;
    case 'i':
        return event->input >= 0;
    case 'h':
        return !isnan(event->hz);
    case 'o':
        return !isnan(event->other_hz);
    case 'd':
    case 'l':
        return !isnan(event->db);
    default:
        return !isnan(event->won_db);
    }
}

/* From off, or to it, it is no number of dB. */
static void
add_db(struct text *text, double db)
{
    if (!isfinite(db))
        text_add(text, "some");
    else
        text_add(text, "%f", db);
}

static void
add_level(struct text *text, double db)
{
    if (db == -HUGE_VAL) {
        text_add(text, "off");
        return;
    }
    text_add(text, "at ");
    add_db(text, db);
    text_add(text, " dB");
}

static void
add_hz(struct text *text, double hz)
{
    if (isnan(hz))
        text_add(text, "one band");
    else
        proof_says_hz(text, hz);
}

static void
add_figure(struct text *text, const struct desk *desk, const struct ring_event *event, char figure)
{
    if (figure == 'm' && event->mix < 0)
        text_add(text, "all mixes");
    else if (figure == 'm')
        proof_says_mix(text, desk, event->mix);
    else if (figure == 'i' && event->input < 0)
        text_add(text, "a microphone");
    else if (figure == 'i')
        proof_says_input(text, desk, event->input);
    else if (figure == 'h' || figure == 'o')
        add_hz(text, figure == 'h' ? event->hz : event->other_hz);
    else if (figure == 'l')
        add_level(text, event->db);
    else
        add_db(text, figure == 'd' ? event->db : event->won_db);
}

/* Whether all figures up to the closing bracket are known. */
static bool
is_whole(const char *at, const struct ring_event *event)
{
    for (; *at && *at != ']'; at++)
        if (*at == '@' && !is_told(event, at[1]))
            return false;
    return true;
}

static void
add_sentence(struct text *text, const struct desk *desk, const char *at,
             const struct ring_event *event)
{
    for (; *at; at++) {
        if (*at == '[' && !is_whole(at, event))
            at = strchr(at, ']');
        else if (*at == '@')
            add_figure(text, desk, event, *++at);
        else if (*at != '[' && *at != ']')
            text_add(text, "%s", (const char[]){*at, '\0'});
    }
}

void
ring_event_says(struct text *text, const struct desk *desk, const struct ring_event *event)
{
    bool heard = event->kind == RING_CUT && !isnan(event->hz) && !isnan(event->other_hz);

    add_sentence(text, desk, heard ? of_heard_cut : of_events[event->kind], event);
}

static struct ring_event
figures(int mix, int input, double db)
{
    return (struct ring_event){
        .mix = mix, .input = input, .db = db, .hz = NAN, .other_hz = NAN, .won_db = NAN};
}

void
ring_next_says(struct text *text, const struct desk *desk, const struct ring_state *state)
{
    struct ring_event event = figures(state->next_mix, -1, state->next_db);

    event.hz = state->next_hz;
    add_sentence(text, desk, of_next[state->next], &event);
}

void
ring_ready_says(struct text *text, const struct desk *desk, const struct ring_ready *ready,
                enum ring_item item)
{
    struct ring_event event = figures(-1, ready->of[item].input, ready->of[item].db);
    bool several = item == RING_READY_OTHERS && event.input < 0;

    if (ready->of[item].ready == SURE_NO)
        add_sentence(text, desk, several ? of_several_open : of_items[item], &event);
}
