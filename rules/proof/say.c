/* SPDX-License-Identifier: MIT */
#include "proof/say.h"

#include <math.h>

const char *
proof_state_name(enum proof_state state)
{
    static const char *const names[PROOF_STATES] = {
        [PROOF_NO_LOOP] = "no-loop", [PROOF_CLOSED] = "closed",       [PROOF_LEFT] = "left",
        [PROOF_NONE] = "none",       [PROOF_NOT_KNOWN] = "not-known",
    };

    return names[state];
}

const char *
proof_why_name(enum proof_why why)
{
    static const char *const names[PROOF_WHYS] = {[PROOF_OPENED] = "opened",
                                                  [PROOF_OTHER_OPENED] = "other-opened",
                                                  [PROOF_TAKEN] = "taken",
                                                  [PROOF_ALONE_ONLY] = "alone-only"};

    return names[why];
}

void
proof_says_hz(struct text *text, double hz)
{
    if (hz >= 1000)
        text_add(text, "%g kHz", hz / 1000);
    else
        text_add(text, "%g Hz", round(hz));
}

static void
add_labelled(struct text *text, const char *kind, int number, const char *label)
{
    text_add(text, "%s %d%s%s", kind, number + 1, *label ? " " : "", label);
}

void
proof_says_less(struct text *text, double less_db)
{
    if (less_db > 0)
        text_add(text, "; not pushed itself: up to %f dB less", less_db);
}

void
proof_says_mix(struct text *text, const struct desk *desk, int mix)
{
    add_labelled(text, "mix", mix, desk_text(desk, PARAM_MIX_NAME, mix, 0));
}

void
proof_says_input(struct text *text, const struct desk *desk, int input)
{
    add_labelled(text, "input", input, desk_text(desk, PARAM_INPUT_NAME, input, 0));
}

static void
add_where(struct text *text, const struct desk *desk, const struct proof_figure *figure)
{
    if (!isnan(figure->hz)) {
        text_add(text, ", at ");
        proof_says_hz(text, figure->hz);
    }
    text_add(text, isnan(figure->hz) ? ", through " : " through ");
    proof_says_input(text, desk, figure->input);
}

static void
add_since(struct text *text, struct proof *proof, const struct proof_figure *figure)
{
    struct since since = proof_since(proof, figure->input, figure->mix, figure->hz);

    since_says(text, &since);
}

static void
add_mover(struct text *text, const struct desk *desk, const struct mover *mover)
{
    if (mover->input >= 0)
        proof_says_input(text, desk, mover->input);
    if (mover->input >= 0 && mover->mix >= 0)
        text_add(text, " into ");
    if (mover->mix >= 0)
        proof_says_mix(text, desk, mover->mix);
}

/* "a cut in mix 2 Gtr wedge, input 1 Ld Vox into mix 2 Gtr wedge went down". */
static void
add_movers(struct text *text, const struct desk *desk, const struct movers *movers)
{
    static const char *const words[ALLOWANCES][2] = {
        [ALLOWANCE_CUT] = {"a cut in ", ""},
        [ALLOWANCE_HIGH_PASS] = {"a high-pass in ", ""},
        [ALLOWANCE_DOWN] = {"", " went down"},
        [ALLOWANCE_CLOSED] = {"", " closed or went far down"},
    };
    const char *between = "";

    for (int kind = 0; kind < ALLOWANCES; kind++) {
        if (!(movers->kinds >> kind & 1))
            continue;
        text_add(text, "%s%s", between, words[kind][0]);
        add_mover(text, desk, &movers->of[kind]);
        text_add(text, "%s", words[kind][1]);
        between = ", ";
    }
}

/* An allowance is in the figure, and named beside it. Where nobody knows how the ring-out left the
 * desk, what lies lower than its ceiling may have been left so, beside what rose. */
static void
add_allowance(struct text *text, const struct proof *proof, const struct proof_figure *figure)
{
    if (figure->moves.kinds == 0)
        return;
    text_add(text, "; %f dB taken off: it is up to so much less sure since ", figure->allowance_db);
    if (!proof_kept(proof)->left)
        text_add(text, "what may have come after the ring-out, of which the end is not known: ");
    add_movers(text, proof_desk(proof), &figure->moves);
}

/* What is taken off makes nothing past. */
static void
add_db(struct text *text, const struct proof_figure *figure)
{
    if (figure->db + figure->allowance_db < 0)
        text_add(text, "%f dB past what was proved", -figure->db);
    else
        text_add(text, "%f dB proved left", fmax(0, figure->db));
}

static void
add_figure(struct text *text, struct proof *proof, const struct proof_figure *figure)
{
    add_db(text, figure);
    add_where(text, proof_desk(proof), figure);
    add_since(text, proof, figure);
}

static void
add_left(struct text *text, struct proof *proof, const struct proof_mix *of)
{
    const struct proof_figure *margin = &of->margin;

    add_figure(text, proof, margin);
    if (of->taken_mix >= 0) {
        text_add(text, "; %f dB less since ", of->taken_db);
        proof_says_mix(text, proof_desk(proof), of->taken_mix);
        text_add(text, " moved");
    }
    add_allowance(text, proof, margin);
    proof_says_less(text, of->less_db);
}

static void
add_alone(struct text *text, const struct proof *proof, const struct proof_figure *alone)
{
    if (alone->ceiling < 0)
        return;
    text_add(text, "; alone %f dB, which is not the margin", alone->db);
    add_allowance(text, proof, alone);
}

static void
add_opened(struct text *text, const struct desk *desk, const struct proof_mix *of)
{
    text_add(text, "no proof: ");
    proof_says_input(text, desk, of->input);
    text_add(text, " is open into ");
    if (of->why == PROOF_OPENED)
        text_add(text, "it");
    else
        proof_says_mix(text, desk, of->mix);
    text_add(text, ", and was not when something was proved, or with another polarity, tap, delay "
                   "or patch, or behind a gate");
}

/* Its own paths passed every ceiling: whatever others did. */
static bool
is_past(const struct proof_mix *of)
{
    return of->why == PROOF_TAKEN && of->alone.db + of->alone.allowance_db < 0;
}

static void
add_none(struct text *text, struct proof *proof, const struct proof_mix *of)
{
    const struct desk *desk = proof_desk(proof);

    if (is_past(of)) {
        add_figure(text, proof, &of->alone);
        add_allowance(text, proof, &of->alone);
        return;
    }
    switch (of->why) {
    case PROOF_OPENED:
    case PROOF_OTHER_OPENED:
        add_opened(text, desk, of);
        break;
    case PROOF_TAKEN:
        text_add(text, "no proof since ");
        proof_says_mix(text, desk, of->mix);
        text_add(text, " moved");
        break;
    case PROOF_ALONE_ONLY:
        text_add(text, "proved only with other mixes closed");
        break;
    case PROOF_WHYS:
        break;
    }
    add_alone(text, proof, &of->alone);
}

void
proof_says(struct text *text, struct proof *proof, int mix)
{
    const struct proof_mix *of = proof_of_mix(proof, mix);
    struct misses misses;

    switch (of->state) {
    case PROOF_LEFT:
        add_left(text, proof, of);
        break;
    case PROOF_NONE:
        add_none(text, proof, of);
        break;
    case PROOF_NOT_KNOWN:
        misses = proof_missing(proof, mix);
        text_add(text, "not known: ");
        if (misses.named > 0)
            misses_add(text, &misses);
        else
            text_add(text, "a path into another mix is not");
        break;
    case PROOF_CLOSED:
        text_add(text, "closed: no microphone is open into it");
        break;
    case PROOF_NO_LOOP:
    case PROOF_STATES:
        break;
    }
}

static void
add_short_db(struct text *text, const struct proof_figure *figure)
{
    if (figure->db + figure->allowance_db < 0)
        text_add(text, "%f dB past it", -figure->db);
    else
        text_add(text, "%f dB", fmax(0, figure->db));
}

void
proof_says_in_short(struct text *text, struct proof *proof, int mix)
{
    const struct proof_mix *of = proof_of_mix(proof, mix);

    static const char *const words[PROOF_STATES] = {[PROOF_NO_LOOP] = "no loudspeaker",
                                                    [PROOF_CLOSED] = "closed",
                                                    [PROOF_NONE] = "no proof",
                                                    [PROOF_NOT_KNOWN] = "not known"};

    if (of->state == PROOF_LEFT)
        add_short_db(text, &of->margin);
    else if (of->state == PROOF_NONE && is_past(of))
        add_short_db(text, &of->alone);
    else
        text_add(text, "%s", words[of->state]);
}

void
proof_says_desk(struct text *text, struct proof *proof)
{
    const struct proof_figure *figure = proof_of_desk(proof);

    if (figure->ceiling < 0) {
        text_add(text, "no proof for all mixes together");
        return;
    }
    add_db(text, figure);
    if (figure->db + figure->allowance_db >= 0)
        text_add(text, " for everything together");
    add_where(text, proof_desk(proof), figure);
    text_add(text, " into ");
    proof_says_mix(text, proof_desk(proof), figure->mix);
    add_allowance(text, proof, figure);
}
