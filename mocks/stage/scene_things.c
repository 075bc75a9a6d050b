/* SPDX-License-Identifier: MIT */
#include "scene_things.h"

#include <math.h>

typedef void thing_fn(struct walk *walk, const cJSON *json, struct scene *scene, size_t place);

/* A list of at most so many things; returns how many, 0 after a complaint. */
static size_t
read_list(struct walk *walk, const cJSON *json, struct scene *scene, size_t most, thing_fn *read)
{
    const cJSON *element;
    size_t i = 0;

    if (!keys_is_list(walk, json, 0, most))
        return 0;
    cJSON_ArrayForEach(element, json)
    {
        size_t before = walk_enter(walk, "[%zu]", i);

        read(walk, element, scene, i++);
        walk_leave(walk, before);
    }
    return i;
}

/* ---- microphones ---- */

static void
read_socket(struct walk *walk, const cJSON *json, void *object)
{
    keys_whole(walk, json, 1, 999, &((struct microphone *)object)->socket);
}

static void
read_microphone_position(struct walk *walk, const cJSON *json, void *object)
{
    keys_vector(walk, json, &((struct microphone *)object)->position);
}

static void
read_microphone_faces(struct walk *walk, const cJSON *json, void *object)
{
    keys_vector(walk, json, &((struct microphone *)object)->faces);
}

static void
read_pattern(struct walk *walk, const cJSON *json, void *object)
{
    double *omni = &((struct microphone *)object)->omni;

    if (!cJSON_IsString(json)) {
        keys_number(walk, json, 0, 1, omni);
        return;
    }
    for (const struct pattern_word *row = pattern_words; row->word; row++)
        if (keys_is_word(json, row->word)) {
            *omni = row->omni;
            return;
        }
    walk_complain(walk, "\"%.40s\" is not a pattern known here", json->valuestring);
}

static void
read_pattern_floor(struct walk *walk, const cJSON *json, void *object)
{
    double *floor = &((struct microphone *)object)->floor;
    double db;

    if (keys_is_word(json, "-inf"))
        *floor = 0;
    else if (keys_number(walk, json, -60, 0, &db))
        *floor = pow(10, db / 20);
}

static const struct key microphone_keys[] = {
    KEY_OTHER("socket", read_socket, true),
    KEY_OTHER("position", read_microphone_position, true),
    KEY_OTHER("faces", read_microphone_faces, true),
    KEY_OTHER("pattern", read_pattern, false),
    KEY_OTHER("floor_db", read_pattern_floor, false),
    KEY_NUMBER(microphone, "mv_per_pa", mv_per_pa, 0.1, 100, 1),
    KEY_NUMBER(microphone, "mouth_m", mouth_m, 0.01, 5, 1),
};

static void
read_microphone(struct walk *walk, const cJSON *json, struct scene *scene, size_t place)
{
    /* A talker may have been read before. */
    double talker_spl = scene->microphones[place].talker_spl;

    scene->microphones[place] = scene_microphone();
    scene->microphones[place].talker_spl = talker_spl;
    keys_object(walk, json, KEYS(microphone_keys), &scene->microphones[place]);
}

void
scene_read_microphones(struct walk *walk, const cJSON *json, void *object)
{
    struct scene *scene = object;

    scene->microphone_count = read_list(walk, json, scene, SCENE_MICROPHONES, read_microphone);
}

/* ---- loudspeakers ---- */

static void
read_mix(struct walk *walk, const cJSON *json, void *object)
{
    keys_whole(walk, json, 1, 64, &((struct loudspeaker *)object)->mix);
}

static void
read_loudspeaker_position(struct walk *walk, const cJSON *json, void *object)
{
    keys_vector(walk, json, &((struct loudspeaker *)object)->position);
}

static void
read_loudspeaker_faces(struct walk *walk, const cJSON *json, void *object)
{
    keys_vector(walk, json, &((struct loudspeaker *)object)->faces);
}

static void
read_corner(struct walk *walk, const cJSON *json, double low, double high, double *out)
{
    if (cJSON_IsNumber(json) && json->valuedouble == 0)
        *out = 0;
    else
        keys_number(walk, json, low, high, out);
}

static void
read_low(struct walk *walk, const cJSON *json, void *object)
{
    read_corner(walk, json, 20, 500, &((struct loudspeaker *)object)->low_hz);
}

static void
read_high(struct walk *walk, const cJSON *json, void *object)
{
    read_corner(walk, json, 1000, 22000, &((struct loudspeaker *)object)->high_hz);
}

static void
read_beam(struct walk *walk, const cJSON *json, void *object)
{
    static const double bounds[2][2] = {{20, 20000}, {10, 360}};
    struct loudspeaker *loudspeaker = object;
    double last_hz = 0;

    loudspeaker->beams = !keys_is_word(json, "none");
    if (!loudspeaker->beams || !keys_is_list(walk, json, SCENE_BEAMS, SCENE_BEAMS))
        return;
    for (int i = 0; i < SCENE_BEAMS; i++) {
        struct beam *beam = &loudspeaker->beam[i];
        double pair[2] = {beam->hz, beam->degrees};
        size_t before = walk_enter(walk, "[%d]", i);

        keys_run(walk, cJSON_GetArrayItem(json, i), bounds, 2, pair);
        *beam = (struct beam){pair[0], pair[1]};
        if (beam->hz <= last_hz)
            walk_complain(walk, "%g Hz does not lie above %g Hz", beam->hz, last_hz);
        last_hz = beam->hz;
        walk_leave(walk, before);
    }
}

static void
read_ripple(struct walk *walk, const cJSON *json, void *object)
{
    static const double bounds[3][2] = {{20, 20000}, {-15, 15}, {0.3, 30}};
    struct loudspeaker *loudspeaker = object;

    if (!keys_is_list(walk, json, 0, SCENE_RIPPLES))
        return;
    loudspeaker->ripple_count = (size_t)cJSON_GetArraySize(json);
    for (size_t i = 0; i < loudspeaker->ripple_count; i++) {
        double peak[3] = {1000, 0, 1};
        size_t before = walk_enter(walk, "[%zu]", i);

        keys_run(walk, cJSON_GetArrayItem(json, (int)i), bounds, 3, peak);
        loudspeaker->ripples[i] = (struct ripple){peak[0], peak[1], peak[2]};
        walk_leave(walk, before);
    }
}

static const struct key loudspeaker_keys[] = {
    KEY_OTHER("mix", read_mix, true),
    KEY_OTHER("position", read_loudspeaker_position, true),
    KEY_OTHER("faces", read_loudspeaker_faces, true),
    KEY_NUMBER(loudspeaker, "sensitivity_db", sensitivity_db, 60, 130, 1),
    KEY_NUMBER(loudspeaker, "amplifier_db", amplifier_db, -60, 60, 1),
    KEY_OTHER("low_hz", read_low, false),
    KEY_OTHER("high_hz", read_high, false),
    KEY_OTHER("beam", read_beam, false),
    KEY_NUMBER(loudspeaker, "back_db", back_db, -60, 0, 1),
    KEY_OTHER("ripple", read_ripple, false),
};

static void
read_loudspeaker(struct walk *walk, const cJSON *json, struct scene *scene, size_t place)
{
    scene->loudspeakers[place] = scene_loudspeaker();
    keys_object(walk, json, KEYS(loudspeaker_keys), &scene->loudspeakers[place]);
}

void
scene_read_loudspeakers(struct walk *walk, const cJSON *json, void *object)
{
    struct scene *scene = object;

    scene->loudspeaker_count = read_list(walk, json, scene, SCENE_LOUDSPEAKERS, read_loudspeaker);
}

/* ---- people ---- */

struct talker {
    unsigned microphone;
    double spl;
};

static void
read_talker_microphone(struct walk *walk, const cJSON *json, void *object)
{
    keys_whole(walk, json, 1, SCENE_MICROPHONES, &((struct talker *)object)->microphone);
}

static const struct key talker_keys[] = {
    KEY_OTHER("microphone", read_talker_microphone, true),
    KEY_NUMBER(talker, "spl", spl, 30, 120, 1),
};

/*
 * 66 dB at 1 m is 72 at half a metre: a normal talker (JBL Professional, Sound System Design
 * Reference Manual, ch. 7).
 */
static void
read_talker(struct walk *walk, const cJSON *json, struct scene *scene, size_t place)
{
    struct talker talker = {.spl = 66};

    (void)place;
    keys_object(walk, json, KEYS(talker_keys), &talker);
    if (talker.microphone > 0)
        scene->microphones[talker.microphone - 1].talker_spl = talker.spl;
}

void
scene_read_talkers(struct walk *walk, const cJSON *json, void *object)
{
    read_list(walk, json, object, SCENE_MICROPHONES, read_talker);
}

static void
read_ears_position(struct walk *walk, const cJSON *json, void *object)
{
    keys_vector(walk, json, &((struct ears *)object)->position);
}

static void
read_ears_faces(struct walk *walk, const cJSON *json, void *object)
{
    keys_vector(walk, json, &((struct ears *)object)->faces);
}

static const struct key ears_keys[] = {
    KEY_OTHER("position", read_ears_position, true),
    KEY_OTHER("faces", read_ears_faces, true),
};

static void
read_ears(struct walk *walk, const cJSON *json, struct scene *scene, size_t place)
{
    keys_object(walk, json, KEYS(ears_keys), &scene->ears[place]);
}

void
scene_read_ears(struct walk *walk, const cJSON *json, void *object)
{
    struct scene *scene = object;

    scene->ears_count = read_list(walk, json, scene, SCENE_EARS, read_ears);
}

/* ---- all together ---- */

static void
check_inside(struct walk *walk, const struct space *space, struct vector at)
{
    const struct vector *from = &space->from, *to = &space->to;

    if (space->kind == SPACE_BOX && !(at.x >= from->x && at.x <= to->x && at.y >= from->y &&
                                      at.y <= to->y && at.z >= from->z && at.z <= to->z))
        walk_complain(walk, "stands outside the box");
    if (space->kind == SPACE_FLOOR && at.z < 0)
        walk_complain(walk, "stands below the floor");
}

static void
check_microphone(struct walk *walk, const struct scene *scene, size_t place)
{
    size_t before = walk_enter(walk, "microphones[%zu]", place);

    check_inside(walk, &scene->space, scene->microphones[place].position);
    for (size_t i = 0; i < place; i++)
        if (scene->microphones[i].socket == scene->microphones[place].socket)
            walk_complain(walk, "socket %u has a microphone already",
                          scene->microphones[place].socket);
    walk_leave(walk, before);
}

void
scene_check(struct walk *walk, const struct scene *scene)
{
    for (size_t i = 0; i < scene->microphone_count; i++)
        check_microphone(walk, scene, i);
    for (size_t i = 0; i < scene->loudspeaker_count; i++) {
        size_t before = walk_enter(walk, "loudspeakers[%zu]", i);

        check_inside(walk, &scene->space, scene->loudspeakers[i].position);
        walk_leave(walk, before);
    }
    for (size_t i = scene->microphone_count; i < SCENE_MICROPHONES; i++)
        if (isfinite(scene->microphones[i].talker_spl))
            walk_complain(walk, "a talker stands at microphone %zu, which there is not", i + 1);
}
