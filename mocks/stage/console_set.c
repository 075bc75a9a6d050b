/* SPDX-License-Identifier: MIT */
/* From what the desk is set to, in dB and Hz, to factors and coefficients. */
#include <assert.h>
#include <math.h>

#include "console.h"

enum { TAP_BEFORE_EQ, TAP_BEFORE_FADER, TAP_AFTER_FADER };

static double
number(const struct console *console, enum scope scope, const char *key, size_t object)
{
    const struct field *field = field_find(scope, key);

    assert(field); /* a key of the table */
    return state_number(console->state, field, object);
}

static bool
is_on(const struct console *console, enum scope scope, const char *key, size_t object)
{
    return number(console, scope, key, object) != 0;
}

/* -inf dB is 0. */
static double
factor(double db)
{
    return pow(10, db / 20);
}

/* Whose filters these are. */
struct owner {
    enum scope scope, band_scope;
    enum count bands;
};

static const struct owner INPUT = {SCOPE_INPUT, SCOPE_INPUT_BAND, COUNT_INPUT_EQ_BANDS};
static const struct owner MIX = {SCOPE_MIX, SCOPE_MIX_BAND, COUNT_MIX_EQ_BANDS};

static void
use(struct chain *chain, size_t place, bool used)
{
    if (!used)
        biquad_forget(&chain->biquads[place]);
    chain->used[place] = used;
}

static void
set_high_pass(const struct console *console, const struct owner *owner, size_t object,
              struct chain *chain)
{
    bool on = is_on(console, owner->scope, "high_pass.on", object);
    double slope = number(console, owner->scope, "high_pass.slope", object);
    unsigned order = (unsigned)fmax(1, round(slope / 6));

    biquads_high_pass(chain->biquads, order,
                      number(console, owner->scope, "high_pass.freq", object));
    for (unsigned i = 0; i < BUTTERWORTH; i++)
        use(chain, i, on && i < (order + 1) / 2);
}

static void
set_equaliser(const struct console *console, const struct owner *owner, size_t object,
              struct chain *chain)
{
    bool on = is_on(console, owner->scope, "eq.on", object);

    for (size_t band = 0; band < console->state->counts[owner->bands]; band++) {
        size_t at = state_object(console->state, owner->band_scope, object, band);
        enum scope scope = owner->band_scope;

        biquad_shape(&chain->biquads[BUTTERWORTH + band],
                     (enum biquad_shape)(unsigned)number(console, scope, "shape", at),
                     number(console, scope, "freq", at), number(console, scope, "gain", at),
                     number(console, scope, "q", at));
        use(chain, BUTTERWORTH + band, on && is_on(console, scope, "on", at));
    }
}

/*
 * Centres of a graphic: of 31, every second or every third of the preferred frequencies, by their
 * exact base-ten values (IEC 61260-1).
 */
static double
graphic_hz(unsigned bands, size_t band)
{
    int step = bands > 15 ? 1 : bands > 10 ? 2 : 3;
    int first = bands > 15 ? -17 : bands > 10 ? -16 : -15;

    return 1000 * pow(10, (first + (int)band * step) / 10.0);
}

static void
set_graphic(const struct console *console, size_t mix, struct chain *chain)
{
    unsigned bands = console->state->counts[COUNT_GRAPHIC_BANDS];
    double octaves = bands > 15 ? 1.0 / 3 : bands > 10 ? 2.0 / 3 : 1;
    bool on = is_on(console, SCOPE_MIX, "graphic.on", mix);

    for (size_t band = 0; band < bands; band++) {
        size_t place = BUTTERWORTH + 8 + band;
        double hz = graphic_hz(bands, band);
        double db = number(console, SCOPE_GRAPHIC, "gain",
                           state_object(console->state, SCOPE_GRAPHIC, mix, band));

        biquad_shape(&chain->biquads[place], BIQUAD_PEAK, hz, db, biquad_q_of_octaves(octaves, hz));
        use(chain, place, on && db != 0);
    }
}

/* Faders of all its groups in dB; a muted group is at off. */
static double
groups_db(const struct console *console, size_t input)
{
    double sum = 0;

    for (size_t group = 0; group < console->state->counts[COUNT_GROUPS]; group++) {
        size_t at = state_object(console->state, SCOPE_INPUT_GROUP, input, group);

        if (!is_on(console, SCOPE_INPUT_GROUP, "member", at))
            continue;
        if (!is_on(console, SCOPE_GROUP, "open", group))
            return (double)-INFINITY;
        sum += number(console, SCOPE_GROUP, "fader", group);
    }
    return sum;
}

static int
find_microphone(const struct scene *scene, double socket)
{
    for (size_t i = 0; i < scene->microphone_count; i++)
        if (scene->microphones[i].socket == (unsigned)socket)
            return (int)i;
    return -1;
}

static void
move(struct ramp *ramp, double to, bool at_once)
{
    ramp->to = to;
    if (at_once)
        ramp->now = to;
}

static void
set_input(struct console *console, const struct scene *scene, size_t input, bool at_once)
{
    struct input_strip *strip = &console->input[input];
    double pad = is_on(console, SCOPE_INPUT, "pad", input) ? 20 : 0;
    double sign = is_on(console, SCOPE_INPUT, "inverted", input) ? -1 : 1;
    double makeup = is_on(console, SCOPE_INPUT, "comp.on", input)
                        ? number(console, SCOPE_INPUT, "comp.makeup", input)
                        : 0;

    strip->microphone = find_microphone(scene, number(console, SCOPE_INPUT, "socket", input));
    if (strip->microphone < 0)
        return;
    move(&strip->head, console->raise * factor(number(console, SCOPE_INPUT, "gain", input) - pad),
         at_once);
    move(&strip->trim, sign * factor(number(console, SCOPE_INPUT, "trim", input)), at_once);
    move(&strip->makeup, factor(makeup), at_once);
    move(&strip->post,
         factor(number(console, SCOPE_INPUT, "fader", input) + groups_db(console, input)), at_once);
    set_high_pass(console, &INPUT, input, &strip->chain);
    set_equaliser(console, &INPUT, input, &strip->chain);
}

static void
set_sends(struct console *console, size_t input, bool at_once)
{
    bool open = is_on(console, SCOPE_INPUT, "open", input);

    for (size_t mix = 0; mix < console->mixes; mix++) {
        size_t at = state_object(console->state, SCOPE_SEND, input, mix);
        struct send_strip *send = &console->sends[at];
        bool on = open && is_on(console, SCOPE_SEND, "on", at);

        send->tap = (unsigned)number(console, SCOPE_SEND, "tap", at);
        move(&send->level, on ? factor(number(console, SCOPE_SEND, "level", at)) : 0, at_once);
    }
}

static void
set_mix(struct console *console, size_t mix, bool at_once)
{
    struct mix_strip *strip = &console->mix[mix];
    double db = number(console, SCOPE_MIX, "fader", mix) + number(console, SCOPE_MIX, "trim", mix);

    move(&strip->master, is_on(console, SCOPE_MIX, "open", mix) ? factor(db) : 0, at_once);
    set_high_pass(console, &MIX, mix, &strip->chain);
    set_equaliser(console, &MIX, mix, &strip->chain);
    set_graphic(console, mix, &strip->chain);
}

void
console_set(struct console *console, const struct scene *scene, bool at_once)
{
    for (size_t mix = 0; mix < console->mixes; mix++)
        console->mix[mix].used = false;
    for (size_t i = 0; i < scene->loudspeaker_count; i++)
        if (scene->loudspeakers[i].mix <= console->mixes)
            console->mix[scene->loudspeakers[i].mix - 1].used = true;
    for (size_t input = 0; input < console->inputs; input++) {
        set_input(console, scene, input, at_once);
        if (console->input[input].microphone >= 0)
            set_sends(console, input, at_once);
    }
    for (size_t mix = 0; mix < console->mixes; mix++)
        if (console->mix[mix].used)
            set_mix(console, mix, at_once);
}
