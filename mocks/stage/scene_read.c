/* SPDX-License-Identifier: MIT */
/* A stage file into a scene: the desk and the space here, what stands in it in scene_things.c. */
#include <math.h>
#include <stddef.h>

#include "json_text.h"
#include "keys.h"
#include "scene.h"
#include "scene_things.h"

/* ---- the desk ---- */

static const struct key desk_keys[] = {
    KEY_NUMBER(scene, "latency_ms", latency_s, 1, 200, 0.001),
    KEY_NUMBER(scene, "input_dbu", input_dbu, -20, 40, 1),
    KEY_NUMBER(scene, "output_dbu", output_dbu, -20, 40, 1),
};

static void
read_desk(struct walk *walk, const cJSON *json, void *object)
{
    keys_object(walk, json, KEYS(desk_keys), object);
}

/* ---- the space ---- */

static void
read_from(struct walk *walk, const cJSON *json, void *object)
{
    keys_vector(walk, json, &((struct space *)object)->from);
}

static void
read_to(struct walk *walk, const cJSON *json, void *object)
{
    keys_vector(walk, json, &((struct space *)object)->to);
}

static const struct key box_keys[] = {
    KEY_OTHER("from", read_from, true),
    KEY_OTHER("to", read_to, true),
};

static void
read_box(struct walk *walk, const cJSON *json, void *object)
{
    struct space *space = object;

    space->kind = SPACE_BOX;
    keys_object(walk, json, KEYS(box_keys), space);
    if (!(space->to.x - space->from.x >= 1 && space->to.y - space->from.y >= 1 &&
          space->to.z - space->from.z >= 1))
        walk_complain(walk, "must be at least 1 m from \"from\" to \"to\" in each direction");
}

static void
read_floor(struct walk *walk, const cJSON *json, void *object)
{
    struct space *space = object;

    if (space->kind == SPACE_BOX)
        walk_complain(walk, "a box has its floor already: \"box\" or \"floor\", not both");
    space->kind = SPACE_FLOOR;
    keys_number(walk, json, 0, 1, &space->absorption[4]);
}

static void
read_absorption(struct walk *walk, const cJSON *json, void *object)
{
    static const double bounds[SCENE_WALLS][2] = {{0, 1}, {0, 1}, {0, 1}, {0, 1}, {0, 1}, {0, 1}};
    double *walls = ((struct space *)object)->absorption;

    if (cJSON_IsArray(json)) {
        keys_run(walk, json, bounds, SCENE_WALLS, walls);
        return;
    }
    if (keys_number(walk, json, 0, 1, &walls[0]))
        for (size_t i = 1; i < SCENE_WALLS; i++)
            walls[i] = walls[0];
}

static void
read_paths(struct walk *walk, const cJSON *json, void *object)
{
    keys_whole(walk, json, 1, 400, &((struct space *)object)->paths);
}

static void
read_order(struct walk *walk, const cJSON *json, void *object)
{
    keys_whole(walk, json, 0, 12, &((struct space *)object)->order);
}

static void
read_seed(struct walk *walk, const cJSON *json, void *object)
{
    unsigned seed;

    if (keys_whole(walk, json, 0, 4000000000u, &seed))
        ((struct space *)object)->seed = seed;
}

static void
read_tail_seed(struct walk *walk, const cJSON *json, void *object)
{
    unsigned seed;

    if (keys_whole(walk, json, 0, 4000000000u, &seed))
        ((struct tail *)object)->seed = seed;
}

static const struct key tail_keys[] = {
    KEY_NUMBER(tail, "t60", t60_s, 0.05, 5, 1),
    KEY_NUMBER(tail, "level_db", level_db, -60, 40, 1),
    KEY_NUMBER(tail, "from_ms", from_s, 0, 200, 0.001),
    KEY_NUMBER(tail, "per_second", per_second, 100, 20000, 1),
    KEY_OTHER("seed", read_tail_seed, false),
};

static void
read_tail(struct walk *walk, const cJSON *json, void *object)
{
    struct tail *tail = &((struct space *)object)->tail;

    keys_object(walk, json, KEYS(tail_keys), tail);
    if (!cJSON_GetObjectItemCaseSensitive(json, "t60"))
        walk_complain(walk, "\"t60\" is missing");
}

static void
read_noise(struct walk *walk, const cJSON *json, void *object)
{
    struct space *space = object;

    if (keys_is_word(json, "-inf"))
        space->noise_spl = (double)-INFINITY;
    else
        keys_number(walk, json, -20, 120, &space->noise_spl);
}

static const struct key space_keys[] = {
    KEY_OTHER("box", read_box, false),
    KEY_OTHER("floor", read_floor, false),
    KEY_OTHER("absorption", read_absorption, false),
    KEY_OTHER("paths", read_paths, false),
    KEY_OTHER("order", read_order, false),
    KEY_OTHER("tail", read_tail, false),
    KEY_OTHER("noise_spl", read_noise, false),
    KEY_NUMBER(space, "speed_of_sound", speed, 300, 400, 1),
    KEY_OTHER("seed", read_seed, false),
};

static void
read_space(struct walk *walk, const cJSON *json, void *object)
{
    struct space *space = &((struct scene *)object)->space;

    if (cJSON_IsObject(json) && cJSON_GetObjectItemCaseSensitive(json, "floor") &&
        cJSON_GetObjectItemCaseSensitive(json, "absorption"))
        walk_complain(walk, "\"absorption\" belongs to a box; an open floor has its own number");
    keys_object(walk, json, KEYS(space_keys), space);
}

/* ---- the file ---- */

static void
read_version(struct walk *walk, const cJSON *json, void *object)
{
    (void)object;
    if (!cJSON_IsNumber(json) || json->valuedouble != 1)
        walk_complain(walk, "must be 1");
}

static void
read_about(struct walk *walk, const cJSON *json, void *object)
{
    (void)object;
    if (!cJSON_IsString(json))
        walk_complain(walk, "must be a text");
}

static const struct key scene_keys[] = {
    KEY_OTHER("stage", read_version, true),
    KEY_OTHER("about", read_about, false),
    KEY_OTHER("desk", read_desk, false),
    KEY_OTHER("space", read_space, false),
    KEY_OTHER("microphones", scene_read_microphones, true),
    KEY_OTHER("loudspeakers", scene_read_loudspeakers, true),
    KEY_OTHER("talkers", scene_read_talkers, false),
    KEY_OTHER("ears", scene_read_ears, false),
};

bool
scene_read(struct scene *scene, const char *file)
{
    struct walk walk = {.file = file};
    cJSON *root = json_text_load(file);

    if (!root)
        return false;
    keys_object(&walk, root, KEYS(scene_keys), scene);
    if (walk.errors == 0)
        scene_check(&walk, scene);
    cJSON_Delete(root);
    return walk.errors == 0;
}
