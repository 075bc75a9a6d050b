/* SPDX-License-Identifier: MIT */
#include "stage/loops_at.h"

#include <assert.h>
#include <stdlib.h>

#include "core/need.h"
#include "core/sure.h"
#include "desk/player.h"

static_assert((int)STAGE_MIXES <= (int)RADIUS_SIZE, "a matrix from mix to mix has room");

/* ---- air ---- */

static size_t
size_of(const struct loops *loops)
{
    return (size_t)BANDS * (size_t)loops->stage->microphone_count * (size_t)loops->mix_count;
}

static void
make_room(struct loops *loops)
{
    loops->air_sum = need_memory(size_of(loops) + 1, sizeof *loops->air_sum);
    loops->air_power = need_memory(size_of(loops) + 1, sizeof *loops->air_power);
    loops->desk = need_memory(size_of(loops) + 1, sizeof *loops->desk);
}

struct loops *
loops_new(const struct stage *stage)
{
    struct loops *loops = need_memory(1, sizeof *loops);

    loops->stage = stage;
    loops->mix_count = stage_mixes(stage, loops->mixes, STAGE_MIXES);
    assert(loops->mix_count <= STAGE_MIXES); /* its reader refuses more */
    make_room(loops);
    for (int i = 0; i < stage->loudspeaker_count; i++)
        for (int band = 0; band < BANDS; band++)
            loops->q[i][band] = beam_q(&stage->loudspeakers[i].beam, band_exact_hz(band));
    loops_air(loops, stage, -1, -1);
    return loops;
}

struct loops *
loops_copy(const struct loops *loops)
{
    struct loops *copy = need_memory(1, sizeof *copy);

    *copy = *loops;
    make_room(copy);
    loops_take(copy, loops, -1, -1);
    return copy;
}

void
loops_free(struct loops *loops)
{
    if (!loops)
        return;
    free(loops->air_sum);
    free(loops->air_power);
    free(loops->desk);
    free(loops);
}

bool
loops_leg(const struct loops *loops, int loudspeaker, int microphone, int mix, struct leg *leg)
{
    const struct loops_measured *measured = &loops->measured[microphone][mix];

    if (!leg_to_microphone(loops->stage, loudspeaker, microphone, leg))
        return false;
    if (measured->there) {
        for (int figure = 0; figure < LEG_FIGURES; figure++)
            leg->figures[figure].how = EXACT;
        leg->figures[LEG_ALLOWANCE_DB] = (struct stated){measured->db, GIVEN};
    }
    return true;
}

static void
add_leg(struct loops *loops, int loudspeaker, int microphone, int mix)
{
    struct leg leg;

    if (!loops_leg(loops, loudspeaker, microphone, mix, &leg))
        return;
    for (int band = 0; band < BANDS; band++) {
        size_t at = loops_air_at(loops, band, microphone, mix);
        double power = pow(10, leg_db(&leg, band_exact_hz(band), loops->q[loudspeaker][band]) / 10);

        loops->air_power[at] += power;
        loops->air_sum[at] += sqrt(power);
    }
}

static void
work_out(struct loops *loops, int microphone, int mix)
{
    for (int band = 0; band < BANDS; band++) {
        size_t at = loops_air_at(loops, band, microphone, mix);

        loops->air_sum[at] = loops->air_power[at] = 0;
    }
    for (int i = 0; i < loops->stage->loudspeaker_count; i++)
        if (serves_has(&loops->stage->loudspeakers[i].mixes, loops->mixes[mix]))
            add_leg(loops, i, microphone, mix);
}

void
loops_air(struct loops *loops, const struct stage *stage, int microphone, int mix)
{
    loops->stage = stage;
    for (int i = 0; i < stage->microphone_count; i++)
        for (int k = 0; k < loops->mix_count; k++)
            if ((microphone < 0 || microphone == i) && (mix < 0 || mix == k))
                work_out(loops, i, k);
}

static void
take(struct loops *loops, const struct loops *from, int microphone, int mix)
{
    for (int band = 0; band < BANDS; band++) {
        size_t air = loops_air_at(loops, band, microphone, mix);
        size_t desk = loops_desk_at(loops, band, mix, microphone);

        loops->air_sum[air] = from->air_sum[air];
        loops->air_power[air] = from->air_power[air];
        loops->desk[desk] = from->desk[desk];
    }
}

void
loops_take(struct loops *loops, const struct loops *from, int microphone, int mix)
{
    for (int i = 0; i < loops->stage->microphone_count; i++)
        for (int k = 0; k < loops->mix_count; k++)
            if ((microphone < 0 || microphone == i) && (mix < 0 || mix == k))
                take(loops, from, i, k);
}

void
loops_scale(struct loops *loops, int microphone, int mix, const double by[BANDS])
{
    for (int band = 0; band < BANDS; band++)
        loops->desk[loops_desk_at(loops, band, mix, microphone)] *= by[band];
}

int
loops_loudspeaker(const struct loops *loops, int microphone, int mix, int band)
{
    double loudest_db = -HUGE_VAL;
    int loudest = -1;

    for (int i = 0; i < loops->stage->loudspeaker_count; i++) {
        struct leg leg;
        double db;

        if (!serves_has(&loops->stage->loudspeakers[i].mixes, loops->mixes[mix]) ||
            !loops_leg(loops, i, microphone, mix, &leg))
            continue;
        db = leg_db(&leg, band_exact_hz(band), loops->q[i][band]);
        if (db > loudest_db) {
            loudest_db = db;
            loudest = i;
        }
    }
    return loudest;
}

/* ---- desk ---- */

/* One input or mix over the bands. */
struct heard_strip {
    enum sure open;
    bool responds;              /* its filters are known: */
    double db[BANDS];           /* what they do, */
    double high_pass_db[BANDS]; /* and the high-pass alone */
};

/* What a mute says; the filters are not asked for where it is closed. */
static bool
hear_mute(struct look *look, enum param_id mute, int row, struct heard_strip *strip)
{
    bool muted = false;

    strip->responds = false;
    strip->open = look_switch(look, mute, row, 0, &muted) ? sure(!muted) : UNSURE;
    return strip->open == SURE_YES;
}

static void
respond(const struct filters *filters, struct heard_strip *strip)
{
    struct filters high_pass = *filters;

    high_pass.count = 0;
    strip->responds = true;
    for (int band = 0; band < BANDS; band++) {
        strip->db[band] = filters_db(filters, band_exact_hz(band));
        strip->high_pass_db[band] = filters_db(&high_pass, band_exact_hz(band));
    }
}

static void
hear_mix(struct look *look, int mix, struct heard_strip *strip)
{
    struct filters filters;

    if (hear_mute(look, PARAM_MIX_MUTE, mix, strip) && path_mix_filters(look, mix, &filters))
        respond(&filters, strip);
}

/* Nothing is missed where nobody told the source: a plan says that there is a microphone. */
static bool
is_line(const struct look *look, int input)
{
    struct look aside = *look;
    const struct source *source = look_source(&aside, input);

    return source && source->line;
}

static void
hear_input(struct look *look, int input, struct heard_strip *strip)
{
    struct filters filters;

    if (hear_mute(look, PARAM_INPUT_MUTE, input, strip) && is_line(look, input))
        strip->open = SURE_NO;
    else if (strip->open == SURE_YES && path_input_filters(look, input, &filters))
        respond(&filters, strip);
}

/* What is being read. */
struct hearing {
    struct loops *loops;
    struct look *look;
    struct heard_strip mixes[STAGE_MIXES], input;
};

/* Adds the path of one input to what the microphone sends into the mix. */
static void
add_path(struct hearing *hearing, int microphone, int input, int mix)
{
    struct loops *loops = hearing->loops;
    const struct heard_strip *of_mix = &hearing->mixes[mix], *of_input = &hearing->input;
    struct path_level level;
    struct send_level send;
    bool known = path_level(hearing->look, input, loops->mixes[mix], &level);

    if (known && level.sum_db == -HUGE_VAL)
        return;
    known = known && look_send_db(hearing->look, input, loops->mixes[mix], &send);
    if (known && send.fader_db == -HUGE_VAL) /* behind a muted group */
        return;
    if (!known || of_input->open == UNSURE || !of_mix->responds ||
        (level.filtered && !of_input->responds)) {
        loops->unknown++;
        return;
    }
    for (int band = 0; band < BANDS; band++) {
        loops->desk[loops_desk_at(loops, band, mix, microphone)] += pow(
            10, (level.sum_db + of_mix->db[band] + (level.filtered ? of_input->db[band] : 0)) / 20);
        loops->high_pass_db[microphone][band] = of_input->high_pass_db[band];
    }
    loops->high_passed[microphone][mix] =
        level.filtered && loops->stage->microphones[microphone].inputs.count == 1;
}

static void
hear_microphone(struct hearing *hearing, int microphone)
{
    const struct serves *inputs = &hearing->loops->stage->microphones[microphone].inputs;

    for (int i = 0; i < inputs->count; i++) {
        hear_input(hearing->look, inputs->of[i], &hearing->input);
        if (hearing->input.open == SURE_NO)
            continue;
        for (int mix = 0; mix < hearing->loops->mix_count; mix++)
            if (hearing->mixes[mix].open != SURE_NO)
                add_path(hearing, microphone, inputs->of[i], mix);
    }
}

/* The desk sends the microphone into the mix. */
static bool
is_sent(const struct loops *loops, int microphone, int mix)
{
    for (int band = 0; band < BANDS; band++)
        if (loops->desk[loops_desk_at(loops, band, mix, microphone)] > 0)
            return true;
    return false;
}

/* Loudspeakers of the mix from which the plan tells no way to the microphone. */
static int
count_unplaced(const struct loops *loops, int microphone, int mix)
{
    int count = 0;

    for (int i = 0; i < loops->stage->loudspeaker_count; i++) {
        struct leg leg;

        count += serves_has(&loops->stage->loudspeakers[i].mixes, loops->mixes[mix]) &&
                 !leg_to_microphone(loops->stage, i, microphone, &leg);
    }
    return count;
}

static void
find_unplaced(struct loops *loops)
{
    loops->unplaced = 0;
    for (int i = 0; i < loops->stage->microphone_count; i++)
        for (int mix = 0; mix < loops->mix_count; mix++)
            if (is_sent(loops, i, mix))
                loops->unplaced += count_unplaced(loops, i, mix);
}

static bool
is_owned(const struct look *look, const struct serves *inputs)
{
    for (int i = 0; i < inputs->count; i++)
        for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++)
            if (player_has_mix(look->desk, look->show, inputs->of[i], mix))
                return true;
    return false;
}

/* All microphones, or the one. */
static void
hear(struct loops *loops, struct look *look, int microphone)
{
    struct hearing hearing = {.loops = loops, .look = look};

    loops->unknown = 0;
    for (int i = 0; i < BANDS * loops->mix_count * loops->stage->microphone_count; i++)
        loops->desk[i] = 0;
    for (int mix = 0; mix < loops->mix_count; mix++)
        hear_mix(look, loops->mixes[mix], &hearing.mixes[mix]);
    for (int i = 0; i < loops->stage->microphone_count; i++)
        if (microphone < 0 || microphone == i)
            hear_microphone(&hearing, i);
    find_unplaced(loops);
}

void
loops_hear(struct loops *loops, struct look *look)
{
    hear(loops, look, -1);
    for (int i = 0; i < loops->stage->microphone_count; i++)
        loops->owned[i] = is_owned(look, &loops->stage->microphones[i].inputs);
}

struct loops_gaps
loops_gaps(const struct loops *loops, struct look *look, int microphone, int mix)
{
    struct loops aside = *loops;

    if (mix >= 0) {
        aside.mix_count = 1;
        aside.mixes[0] = loops->mixes[mix];
    }
    aside.desk = need_memory(size_of(&aside) + 1, sizeof *aside.desk);
    hear(&aside, look, microphone);
    free(aside.desk);
    return (struct loops_gaps){aside.unknown, aside.unplaced};
}

/* ---- what the plan lacks ---- */

static bool
is_in_plan(const struct stage *stage, int input)
{
    for (int i = 0; i < stage->microphone_count; i++)
        if (serves_has(&stage->microphones[i].inputs, input))
            return true;
    return false;
}

static bool
may_be_open(struct look *look, int input, int mix)
{
    struct heard_strip strip;
    struct path_level level;
    struct send_level send;

    hear_mute(look, PARAM_MIX_MUTE, mix, &strip);
    if (strip.open == SURE_NO)
        return false;
    if (!path_level(look, input, mix, &level) || !look_send_db(look, input, mix, &send))
        return true;
    return level.sum_db > -HUGE_VAL && send.fader_db > -HUGE_VAL;
}

int
loops_strangers(const struct loops *loops, struct look *look)
{
    int count = 0;

    for (int input = 0; input < desk_count(look->desk, INDEX_INPUT); input++) {
        struct heard_strip strip;
        bool open = false;

        hear_mute(look, PARAM_INPUT_MUTE, input, &strip);
        if (is_in_plan(loops->stage, input) || strip.open == SURE_NO || is_line(look, input))
            continue;
        for (int mix = 0; mix < loops->mix_count && !open; mix++)
            open = may_be_open(look, input, loops->mixes[mix]);
        count += open;
    }
    return count;
}

int
loops_mix(const struct loops *loops, int mix)
{
    for (int i = 0; i < loops->mix_count; i++)
        if (loops->mixes[i] == mix)
            return i;
    return -1;
}
