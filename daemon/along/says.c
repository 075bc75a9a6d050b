/* SPDX-License-Identifier: MIT */
#include "along/says.h"

#include <math.h>

#include "proof/say.h"

/* ---- sentences ---- */

static void
add_count(struct text *text, int count, const char *of)
{
    text_add(text, "%d %s%s", count, of, count == 1 ? "" : "s");
}

/* While it is raised it stands above what is proved so far. */
static bool
is_past(const struct ring_mix *mix)
{
    return mix->proved_db < 0 || (isnan(mix->proved_db) && mix->alone_db < 0);
}

static double
past_db(const struct ring_mix *mix)
{
    return isnan(mix->proved_db) ? -mix->alone_db : -mix->proved_db;
}

/* What is proved of it; "alone" is no margin, and never called one. */
static void
add_proved(struct text *text, const struct ring_mix *mix)
{
    if (is_past(mix))
        text_add(text, "; %f dB past what was proved", past_db(mix));
    else if (!isnan(mix->proved_db))
        text_add(text, "; %f dB proved left", mix->proved_db);
    else if (!isnan(mix->alone_db))
        text_add(text, "; alone %f dB, which is not the margin", mix->alone_db);
    else
        text_add(text, mix->closed ? "; closed now" : "; nothing proved yet");
    if (!isnan(mix->step_db) && !(isnan(mix->proved_db) && isnan(mix->alone_db)))
        text_add(text, " (in steps of %f dB)", mix->step_db);
    if (!is_past(mix) && !isnan(mix->proved_db))
        proof_says_less(text, mix->less_db);
}

void
says_mix(char says[SAYS_SIZE], const struct desk *desk, const struct ring_mix *mix)
{
    struct text text;

    text_init(&text, says, SAYS_SIZE);
    proof_says_mix(&text, desk, mix->mix);
    text_add(&text, ": ");
    add_count(&text, mix->rings, "ring");
    text_add(&text, ", ");
    add_count(&text, mix->cuts, "cut");
    if (!isnan(mix->speech_db))
        text_add(&text, ", which cost speech %f dB", fabs(mix->speech_db));
    if (!isnan(mix->won_db))
        text_add(&text, ", %f dB won since the first ring", mix->won_db);
    add_proved(&text, mix);
}

void
says_ring(char says[SAYS_SIZE], const struct desk *desk, const struct ring_seen *seen)
{
    struct text text;

    text_init(&text, says, SAYS_SIZE);
    if (isnan(seen->hz))
        text_add(&text, "not known where");
    else
        proof_says_hz(&text, seen->hz);
    if (seen->cut_db == 0)
        text_add(&text, ": left uncut, ");
    else
        text_add(&text, ": -%f dB, ", fabs(seen->cut_db));
    proof_says_mix(&text, desk, seen->mix);
    if (seen->input < 0)
        return;
    text_add(&text, " through ");
    proof_says_input(&text, desk, seen->input);
}

/* ---- large letters ---- */

/* @m: the mix's number; @h: the frequency; @d: dB, where they are known. */
static const char *const large[RING_NEXTS] = {
    [RING_NEXT_WAIT] = "wait",
    [RING_NEXT_STEP_BACK] = "step back @d",
    [RING_NEXT_PUT_BACK] = "put back @d",
    [RING_NEXT_MASTERS_DOWN] = "masters -12 dB",
    [RING_NEXT_PREPARE] = "make ready",
    [RING_NEXT_RINGS] = "@h",
    [RING_NEXT_RAISE] = "up 1 dB",
    [RING_NEXT_RAISE_ON] = "up 0.5 dB",
    [RING_NEXT_SILENCE] = "cut",
    [RING_NEXT_LAST_PUSH] = "once more up",
    [RING_NEXT_VOICE] = "voice",
    [RING_NEXT_MIX] = "next: mix @m",
    [RING_NEXT_OPEN_ALL] = "open all",
    [RING_NEXT_RAISE_TOGETHER] = "all up 0.5 dB",
    [RING_NEXT_PUSH] = "push mix @m",
    [RING_NEXT_DONE] = "done",
};

void
says_next_large(char says[SAYS_SIZE], const struct ring_state *state)
{
    struct text text;

    text_init(&text, says, SAYS_SIZE);
    for (const char *at = large[state->next]; *at; at++) {
        if (*at != '@')
            text_add(&text, "%s", (const char[]){*at, '\0'});
        else if (*++at == 'm')
            text_add(&text, "%d", state->next_mix + 1);
        else if (*at == 'h')
            proof_says_hz(&text, state->next_hz);
        else if (!isnan(state->next_db))
            text_add(&text, "%f dB", state->next_db);
    }
}

void
says_event_large(char says[SAYS_SIZE], const struct ring_event *event)
{
    struct text text;

    text_init(&text, says, SAYS_SIZE);
    for (const char *at = ring_kind_name(event->kind); *at; at++)
        text_add(&text, "%s", (const char[]){*at == '-' ? ' ' : *at, '\0'});
    if (!isnan(event->hz)) {
        text_add(&text, " ");
        proof_says_hz(&text, event->hz);
    }
    if (isfinite(event->db) && event->kind != RING_RISE && event->kind != RING_PROVED)
        text_add(&text, " %f dB", event->db); /* of those it would be read as what is left */
}

void
says_mix_large(char says[SAYS_SIZE], const struct ring_mix *mix)
{
    struct text text;

    text_init(&text, says, SAYS_SIZE);
    if (is_past(mix))
        text_add(&text, "past %f dB", past_db(mix));
    else if (!isnan(mix->proved_db))
        text_add(&text, "left %f dB", mix->proved_db);
    else if (!isnan(mix->alone_db))
        text_add(&text, "alone %f dB", mix->alone_db);
    else if (!isnan(mix->won_db))
        text_add(&text, "won %f dB", mix->won_db);
    else
        add_count(&text, mix->cuts, "cut");
}

/* ---- the state ---- */

bool
says_is_urgent(const struct ring_state *state)
{
    return state->next <= RING_NEXT_MASTERS_DOWN;
}

const struct ring_mix *
says_shown(const struct ring_state *state)
{
    int mix = state->mix >= 0 ? state->mix : state->next_mix;

    for (int i = 0; i < state->mix_count; i++)
        if (state->mixes[i].mix == mix)
            return &state->mixes[i];
    return NULL;
}

/* ---- JSON ---- */

/* A thousandth is finer than any control. What is not known stays away. */
static void
add_number(struct json *json, const char *key, double number)
{
    if (isfinite(number))
        json_add_number(json, key, round(number * 1000) / 1000);
}

static void
add_index(struct json *json, const char *key, int index)
{
    if (index >= 0)
        json_add_number(json, key, index + 1);
}

struct json *
says_next_json(const struct ring_state *state, const char *says)
{
    struct json *json = json_new_object();

    json_add_string(json, "event", "next");
    json_add_string(json, "weight", says_is_urgent(state) ? "warning" : "advice");
    add_index(json, "mix", state->next_mix);
    add_number(json, "db", state->next_db);
    add_number(json, "hz", state->next_hz);
    json_add_string(json, "says", says);
    return json;
}

struct json *
says_mix_json(const struct ring_mix *mix)
{
    struct json *json = json_new_object();

    add_index(json, "mix", mix->mix);
    add_index(json, "own_input", mix->own);
    json_add_number(json, "rings", mix->rings);
    json_add_number(json, "cuts", mix->cuts);
    add_number(json, "speech_db", mix->speech_db);
    add_number(json, "won_db", mix->won_db);
    add_number(json, "proved_db", mix->proved_db);
    if (!isnan(mix->proved_db)) {
        json_add_bool(json, "at_least", mix->less_db > 0);
        if (mix->less_db > 0)
            json_add_number(json, "less_db", mix->less_db);
    }
    add_number(json, "alone_db", mix->alone_db);
    add_number(json, "step_db", mix->step_db);
    return json;
}

struct json *
says_event_json(const struct desk *desk, const struct ring_event *event)
{
    struct json *json = json_new_object();
    char says[SAYS_SIZE];
    struct text text;

    text_init(&text, says, sizeof says);
    ring_event_says(&text, desk, event);
    json_add_string(json, "event", ring_kind_name(event->kind));
    json_add_string(json, "weight", ring_weight_name(ring_kind_weight(event->kind)));
    add_index(json, "mix", event->mix);
    add_index(json, "input", event->input);
    add_number(json, "hz", event->hz);
    add_number(json, "other_hz", event->other_hz);
    add_number(json, "db", event->db);
    add_number(json, "won_db", event->won_db);
    json_add_string(json, "says", says);
    return json;
}
