/* SPDX-License-Identifier: MIT */
/* A band that comes down after a rise: something rang there. */
#include <math.h>
#include <stdlib.h>

#include "proof/tone.h"
#include "ring/parts.h"
#include "sound/band.h"
#include "sound/cuts.h"

static const double is_cut_db = 1; /* as check too-many-cuts has it */

bool
cut_is_band(enum param_id id)
{
    return id == PARAM_MIX_GRAPHIC_BAND_GAIN || id == PARAM_MIX_EQ_BAND_GAIN;
}

/* ---- bands ---- */

static int
band_of(const struct ringing *ringing, const struct knob *knob)
{
    if (knob->id == PARAM_MIX_GRAPHIC_BAND_GAIN)
        return knob->column;
    return desk_count(ringing->desk, INDEX_MIX_GRAPHIC_BAND) + knob->column;
}

static double
band_hz(const struct ringing *ringing, int mix, int band)
{
    int graphic = desk_count(ringing->desk, INDEX_MIX_GRAPHIC_BAND);
    const struct value *freq;
    double hz;

    if (band >= graphic)
        return value_number(desk_value(ringing->desk, PARAM_MIX_EQ_BAND_FREQ, mix, band - graphic));
    freq = desk_value(ringing->desk, PARAM_MIX_GRAPHIC_BAND_FREQ, mix, band);
    hz = freq->state == VALUE_KNOWN ? value_number(freq) : band_graphic_nominal_hz(graphic, band);
    return hz > 0 ? hz : NAN;
}

static bool
are_neighbours(const struct ringing *ringing, int mix, int one, int other)
{
    int graphic = desk_count(ringing->desk, INDEX_MIX_GRAPHIC_BAND);

    if (one < graphic && other < graphic)
        return abs(one - other) == 1;
    return fabs(log2(band_hz(ringing, mix, one) / band_hz(ringing, mix, other))) < 0.5;
}

/* Half of what lies between it and its neighbours; of an equaliser, what counts as a neighbour. */
static double
band_reaches_octaves(const struct ringing *ringing, int mix, int band)
{
    int graphic = desk_count(ringing->desk, INDEX_MIX_GRAPHIC_BAND);
    int next = band + 1 < graphic ? band + 1 : band - 1;

    if (band >= graphic || next < 0)
        return 0.5;
    return fabs(log2(band_hz(ringing, mix, next) / band_hz(ringing, mix, band))) / 2;
}

/* How far the band is below where it was when the mix began. */
static double
depth_db(const struct ringing *ringing, const struct course *course, int band)
{
    int graphic = desk_count(ringing->desk, INDEX_MIX_GRAPHIC_BAND);
    const struct value *gain =
        band < graphic
            ? desk_value(ringing->desk, PARAM_MIX_GRAPHIC_BAND_GAIN, course->mix, band)
            : desk_value(ringing->desk, PARAM_MIX_EQ_BAND_GAIN, course->mix, band - graphic);

    return course->bands[band].began_db - value_number(gain);
}

/* ---- what rang ---- */

static const double heard_within_octaves = 1.0 / 12; /* a third of an octave's bands say no more */

/* The frequency that the spectrum showed in the band, just before, the loudest; NAN: none. */
static double
rang_hz(const struct ringing *ringing, const struct course *course, int64_t at_ms)
{
    double band = band_hz(ringing, course->mix, course->band);
    double reach = band_reaches_octaves(ringing, course->mix, course->band) + heard_within_octaves;
    const struct heard *loudest = NULL;

    for (int i = 0; i < SPECTRUM_THIRDS; i++) {
        const struct heard *heard = &course->heard.of[i];

        if (heard->hz > 0 && at_ms - heard->at_ms <= RING_HEARD_MS &&
            fabs(log2(heard->hz / band)) <= reach &&
            (!loudest || heard->level_db > loudest->level_db))
            loudest = heard;
    }
    return loudest ? loudest->hz : (double)NAN;
}

/* The path's gain at the frequency, as it was before the band came down. */
static double
gain_before_db(const struct ringing *ringing, const struct course *course, double hz,
               const struct ring_move *move)
{
    struct tone of_input = {0}, of_mix = {0};
    struct desk *before;
    double gain_db = NAN;

    if (course->input < 0 || isnan(hz))
        return NAN;
    before = desk_copy(ringing->desk);
    desk_set(before, move->knob.id, move->knob.row, move->knob.column, move->from, 0);
    tone_of_input(&of_input, before, course->input);
    tone_of_mix(&of_mix, before, course->mix);
    if (of_input.known && of_mix.known)
        gain_db = course->level_db + tone_db(&of_mix, hz) +
                  (side_spot(&ringing->side, course->input, course->mix)->tap == TAP_PRE_EQ
                       ? 0
                       : tone_db(&of_input, hz));
    tone_release(&of_input);
    tone_release(&of_mix);
    desk_free(before);
    return gain_db;
}

/* The oldest goes where there are too many. */
static int
next_seen(struct ringing *ringing)
{
    if (ringing->seen_count < RINGS_MOST)
        return ringing->seen_count++;
    for (int i = 1; i < RINGS_MOST; i++) {
        ringing->seen[i - 1] = ringing->seen[i];
        ringing->seen_gain_db[i - 1] = ringing->seen_gain_db[i];
    }
    for (int i = 0; i < ringing->count; i++)
        if (ringing->courses[i].seen >= 0)
            ringing->courses[i].seen--;
    return RINGS_MOST - 1;
}

static void
see_ring(struct ringing *ringing, struct course *course, const struct ring_move *move)
{
    bool alone = course->input >= 0 && ring_other_open(ringing, course->mix, course->input) < 0;
    double hz = band_hz(ringing, course->mix, course->band);

    course->rang_hz = rang_hz(ringing, course, move->at_ms);
    hz = isnan(course->rang_hz) ? hz : course->rang_hz;
    course->seen = next_seen(ringing);
    course->rings++;
    ringing->seen[course->seen] = (struct ring_seen){.at_ms = move->at_ms,
                                                     .mix = course->mix,
                                                     .input = alone ? course->input : -1,
                                                     .hz = hz,
                                                     .level_db = course->level_db};
    ringing->seen_gain_db[course->seen] =
        alone ? gain_before_db(ringing, course, hz, move) : (double)NAN;
    if (isnan(course->first_db))
        course->first_db = course->highest_db = course->level_db;
    course->highest_db = fmax(course->highest_db, course->level_db);
    course->top_db = course->level_db;
}

/* ---- what is said of it ---- */

double
ring_speech_db(const struct ringing *ringing, struct course *course)
{
    static const enum param_id reads[] = {PATH_MIX_EQUALISER_READS, PARAM_MIX_NAME, PARAMS};
    struct verdict aside;
    struct look look = look_reader(ringing->desk, ringing->show, reads, &aside);
    struct cuts cuts;

    if (!course->speech_known) {
        course->speech_db =
            cuts_of(&look, course->mix, is_cut_db, &cuts) ? cuts.loss.speech_db : (double)NAN;
        course->speech_known = true;
    }
    return course->speech_db;
}

static void
say_cut(struct ringing *ringing, const struct course *course, int band, double db)
{
    struct ring_event event =
        ring_made(ringing, RING_CUT, course->mix, ringing->seen[course->seen].input);

    event.hz = band_hz(ringing, course->mix, band);
    if (band == course->band)
        event.other_hz = course->rang_hz;
    event.db = db;
    ring_tell(ringing, event);
}

static void
say_count(struct ringing *ringing, struct course *course)
{
    struct ring_event quieter = ring_made(ringing, RING_QUIETER, course->mix, course->input);

    if (course->cuts == RING_CUTS_MOST) {
        quieter.db = ring_speech_db(ringing, course);
        quieter.won_db = course->highest_db - course->first_db;
        ring_tell(ringing, quieter);
    } else if (course->cuts > RING_CUTS_MOST) {
        ring_tell(ringing, ring_made(ringing, RING_MANY, course->mix, course->input));
    }
}

/* Each ring counts once, by the first band that comes down for it. */
static void
count_cut(struct ringing *ringing, struct course *course, int at)
{
    struct ring_band *band = &course->bands[at];

    if (at == course->band && !band->cut) {
        band->leads = true;
        course->cuts++;
        say_count(ringing, course);
    }
    band->cut = true;
}

static void
say_four_deep(struct ringing *ringing, const struct course *course)
{
    int deep = 0;

    for (int band = 0; band < ringing->bands; band++)
        if (course->bands[band].leads &&
            depth_db(ringing, course, band) > RING_CUT_MOST_DB - RING_AT_DB)
            deep++;
    if (deep >= RING_DEEP_CUTS)
        ring_tell(ringing, ring_made(ringing, RING_FOUR_DEEP, course->mix, course->input));
}

static void
say_deep(struct ringing *ringing, const struct course *course, double now_db)
{
    struct ring_event event = ring_made(ringing, RING_DEEP, course->mix, course->input);

    event.hz = band_hz(ringing, course->mix, course->hand_band);
    event.db = course->hand_db - now_db;
    if (event.db > RING_CUT_MOST_DB + RING_AT_DB)
        ring_tell(ringing, event);
}

/* A second band at once: nobody can have heard that the first one did not do. */
static void
say_second(struct ringing *ringing, struct course *course, int band)
{
    bool neighbours = are_neighbours(ringing, course->mix, course->band, band);
    struct ring_event event = ring_made(ringing, neighbours ? RING_TWO_FOR_ONE : RING_NOT_RUNG,
                                        course->mix, course->input);

    event.hz = band_hz(ringing, course->mix, course->band);
    event.other_hz = band_hz(ringing, course->mix, band);
    course->other_band = band;
    if (!neighbours && isnan(course->rang_hz))
        ringing->seen[course->seen].hz = NAN;
    ring_tell(ringing, event);
}

/* ---- a band moves ---- */

static void
take_hand(struct course *course, int band, const struct ring_move *move)
{
    if (band != course->hand_band || move->at_ms > course->cut_ms + RING_GESTURE_MS)
        course->hand_db = move->from;
    course->hand_band = band;
    course->cut_ms = move->at_ms;
}

/* Down, while something may ring. */
static void
cut_down(struct ringing *ringing, struct course *course, bool rising, const struct ring_move *move)
{
    int band = band_of(ringing, &move->knob);
    bool known = !rising && course->seen >= 0;
    bool same = known && (band == course->band || band == course->other_band);
    bool second = known && !same && move->at_ms < course->cut_ms + RING_AT_ONCE_MS;

    take_hand(course, band, move);
    if (second) {
        say_second(ringing, course, band);
    } else if (!same) {
        course->band = band;
        course->other_band = -1;
        see_ring(ringing, course, move);
    }
    if (band == course->band)
        ringing->seen[course->seen].cut_db += move->from - move->to;
    say_cut(ringing, course, band, move->from - move->to);
    count_cut(ringing, course, band);
    say_four_deep(ringing, course);
    say_deep(ringing, course, move->to);
    keep_rings(ringing);
}

void
cut_band(struct ringing *ringing, struct course *course, enum phase *phase,
         const struct ring_move *move)
{
    ringing->unclear = true;
    course->speech_known = false;
    if (!(move->to < move->from) || (*phase != PHASE_RISING && *phase != PHASE_RINGING))
        return;
    cut_down(ringing, course, *phase == PHASE_RISING, move);
    *phase = PHASE_RINGING;
}
