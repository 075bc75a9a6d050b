/* SPDX-License-Identifier: MIT */
#include "air.h"

#include <math.h>
#include <stdlib.h>

#include "biquad.h"
#include "chance.h"
#include "direction.h"
#include "images.h"

static const double DBU_VOLTS = 0.7745966692414834; /* 1 mW in 600 ohm */
static const double SQRT_TWO =
    1.4142135623730951; /* full scale is the peak of a sine, levels are rms */
static const double SENSITIVITY_VOLTS = 2.83;
static const double QUIETEST_PA = 20e-6; /* 0 dB SPL */
static const double EAR_APART_M = 0.18;  /* from one to the other */

static double
from_db(double db)
{
    return pow(10, db / 20);
}

/* Who hears: a microphone, or an ear, which has no pattern. */
struct receiver {
    const struct microphone *microphone; /* NULL: an ear */
    struct vector at;
    double per_pa;
};

static double
volts_of_full_scale(double dbu)
{
    return DBU_VOLTS * from_db(dbu) * SQRT_TWO;
}

static double
microphone_per_pa(const struct scene *scene, const struct microphone *microphone)
{
    return microphone->mv_per_pa / 1000 / volts_of_full_scale(scene->input_dbu);
}

static struct receiver
find_receiver(const struct scene *scene, size_t place)
{
    const struct microphone *microphone = &scene->microphones[place];
    const struct ears *ears;
    struct vector ahead, right;
    double side;

    if (place < scene->microphone_count)
        return (struct receiver){microphone, microphone->position,
                                 microphone_per_pa(scene, microphone)};
    place -= scene->microphone_count;
    ears = &scene->ears[place / 2];
    side = place % 2 == 0 ? -0.5 : 0.5;
    ahead = vector_minus(ears->faces, ears->position);
    right = vector_unit((struct vector){ahead.y, -ahead.x, 0});
    return (struct receiver){
        NULL, vector_add(ears->position, vector_times(right, side * EAR_APART_M)), 1};
}

static double
heard(const struct receiver *receiver, struct vector from)
{
    double factor = receiver->microphone ? microphone_factor(receiver->microphone, from) : 1;

    return factor * receiver->per_pa;
}

static size_t
samples_of(const struct scene *scene, double metres)
{
    return (size_t)lround(metres / scene->space.speed * SAMPLE_RATE);
}

/* Pa at 1 m on axis for 1 at the desk's output. */
static double
loudness(const struct scene *scene, const struct loudspeaker *loudspeaker)
{
    return volts_of_full_scale(scene->output_dbu) * from_db(loudspeaker->amplifier_db) /
           SENSITIVITY_VOLTS * QUIETEST_PA * from_db(loudspeaker->sensitivity_db);
}

static void
add_image(const struct scene *scene, const struct loudspeaker *loudspeaker,
          const struct receiver *receiver, const struct image *image, struct way *way)
{
    double factor = loudness(scene, loudspeaker) * heard(receiver, image->seen_at) * image->walls /
                    image->metres;
    size_t delay = samples_of(scene, image->metres);
    struct split_tap *split;

    if (!loudspeaker->beams) {
        way->plain[way->plain_count++] = (struct plain_tap){delay, factor};
        return;
    }
    split = &way->split[way->split_count++];
    split->delay = delay;
    for (size_t band = 0; band < SCENE_BEAMS; band++)
        split->factors[band] = factor * loudspeaker_factor(loudspeaker, band, image->aimed_at);
}

/*
 * Pulses at random places of an even grid, of random sign, 60 dB down after T60; together of the
 * level asked for.
 */
static void
add_tail(const struct scene *scene, size_t begin, double loud, struct chance *chance,
         struct way *way)
{
    const struct tail *tail = &scene->space.tail;
    size_t count = (size_t)(tail->t60_s * tail->per_second);
    struct plain_tap *taps = way->plain + way->plain_count;
    double power = 0;

    begin += (size_t)lround(tail->from_s * SAMPLE_RATE);
    for (size_t i = 0; i < count; i++) {
        double seconds = ((double)i + chance_between(chance, 0, 1)) / tail->per_second;
        double sign = chance_between(chance, 0, 1) < 0.5 ? -1 : 1;

        taps[i] = (struct plain_tap){begin + (size_t)(seconds * SAMPLE_RATE),
                                     sign * pow(10, -3 * seconds / tail->t60_s)};
        power += taps[i].factor * taps[i].factor;
    }
    for (size_t i = 0; i < count; i++)
        taps[i].factor *= loud * from_db(tail->level_db) / sqrt(power);
    way->plain_count += count;
}

static bool
make_room(struct way *way, const struct space *space)
{
    size_t tail = (size_t)(space->tail.t60_s * space->tail.per_second);

    way->split = calloc(space->paths + 2, sizeof *way->split);
    way->plain = calloc(space->paths + 2 + tail, sizeof *way->plain);
    return way->split && way->plain;
}

static bool
fill_way(const struct scene *scene, size_t receiver_place, size_t loudspeaker_place,
         struct way *way)
{
    const struct loudspeaker *loudspeaker = &scene->loudspeakers[loudspeaker_place];
    struct receiver receiver = find_receiver(scene, receiver_place);
    struct image *images = calloc(scene->space.paths + 2, sizeof *images);
    struct chance chance = {.state = scene->space.tail.seed * 4096 + receiver_place * 64 +
                                     loudspeaker_place};
    double direct = vector_length(vector_minus(receiver.at, loudspeaker->position));
    size_t count;

    if (!images || !make_room(way, &scene->space)) {
        free(images);
        return false;
    }
    count = images_find(&scene->space, loudspeaker->position, receiver.at, images);
    for (size_t i = 0; i < count; i++)
        add_image(scene, loudspeaker, &receiver, &images[i], way);
    if (scene->space.tail.t60_s > 0)
        add_tail(scene, samples_of(scene, direct), loudness(scene, loudspeaker) * receiver.per_pa,
                 &chance, way);
    free(images);
    return true;
}

/* A voice reaches its own microphone from straight ahead, and others as the direct sound alone. */
static bool
fill_mouth(const struct scene *scene, size_t place, size_t talker, struct way *way)
{
    const struct microphone *own = &scene->microphones[talker];
    struct receiver receiver = find_receiver(scene, place);
    struct vector ahead = vector_unit(vector_minus(own->faces, own->position));
    struct vector mouth = vector_add(own->position, vector_times(ahead, own->mouth_m));
    double metres = fmax(vector_length(vector_minus(mouth, receiver.at)), 0.01);

    way->plain = calloc(1, sizeof *way->plain);
    if (!way->plain)
        return false;
    way->plain[way->plain_count++] =
        (struct plain_tap){samples_of(scene, metres), heard(&receiver, mouth) / metres};
    return true;
}

static bool
fill_receiver(struct air *air, const struct scene *scene, size_t place)
{
    for (size_t i = 0; i < air->loudspeakers; i++)
        if (!fill_way(scene, place, i, &air->from_loudspeaker[place][i]))
            return false;
    for (size_t i = 0; i < air->microphones; i++)
        if (!fill_mouth(scene, place, i, &air->from_mouth[place][i]))
            return false;
    return true;
}

static size_t
longest_of(const struct way *way, size_t longest)
{
    for (size_t i = 0; i < way->split_count; i++)
        longest = way->split[i].delay > longest ? way->split[i].delay : longest;
    for (size_t i = 0; i < way->plain_count; i++)
        longest = way->plain[i].delay > longest ? way->plain[i].delay : longest;
    return longest;
}

static void
measure(struct air *air)
{
    for (size_t i = 0; i < air->receivers; i++) {
        for (size_t j = 0; j < air->loudspeakers; j++)
            air->longest = longest_of(&air->from_loudspeaker[i][j], air->longest);
        for (size_t j = 0; j < air->microphones; j++)
            air->longest = longest_of(&air->from_mouth[i][j], air->longest);
    }
}

struct air *
air_new(const struct scene *scene)
{
    struct air *air = calloc(1, sizeof *air);

    if (!air)
        return NULL;
    air->microphones = scene->microphone_count;
    air->loudspeakers = scene->loudspeaker_count;
    air->receivers = scene->microphone_count + 2 * scene->ears_count;
    for (size_t i = 0; i < air->microphones; i++)
        air->per_pa[i] = microphone_per_pa(scene, &scene->microphones[i]);
    for (size_t i = 0; i < air->receivers; i++)
        if (!fill_receiver(air, scene, i)) {
            air_free(air);
            return NULL;
        }
    measure(air);
    return air;
}

static void
free_way(struct way *way)
{
    free(way->split);
    free(way->plain);
}

void
air_free(struct air *air)
{
    if (!air)
        return;
    for (size_t i = 0; i < AIR_RECEIVERS; i++) {
        for (size_t j = 0; j < SCENE_LOUDSPEAKERS; j++)
            free_way(&air->from_loudspeaker[i][j]);
        for (size_t j = 0; j < SCENE_MICROPHONES; j++)
            free_way(&air->from_mouth[i][j]);
    }
    free(air);
}
