/* SPDX-License-Identifier: MIT */
/* A scene as a stage file: every number in 17 digits, so that it reads back the same. */
#include <math.h>

#include "scene.h"

static void
write_number(FILE *file, double value)
{
    if (isfinite(value))
        fprintf(file, "%.17g", value);
    else
        fputs("\"-inf\"", file);
}

static void
write_pair(FILE *file, const char *key, double value)
{
    fprintf(file, ", \"%s\": ", key);
    write_number(file, value);
}

static void
write_vector(FILE *file, const char *key, struct vector at)
{
    fprintf(file, "\"%s\": [%.17g, %.17g, %.17g]", key, at.x, at.y, at.z);
}

static void
write_stand(FILE *file, struct vector position, struct vector faces)
{
    write_vector(file, "position", position);
    fputs(", ", file);
    write_vector(file, "faces", faces);
}

static void
write_walls(FILE *file, const struct space *space)
{
    if (space->kind == SPACE_FLOOR)
        fprintf(file, "\"floor\": %.17g, ", space->absorption[4]);
    if (space->kind != SPACE_BOX)
        return;
    fputs("\"box\": { ", file);
    write_vector(file, "from", space->from);
    fputs(", ", file);
    write_vector(file, "to", space->to);
    fputs(" },\n    \"absorption\": [", file);
    for (int i = 0; i < SCENE_WALLS; i++)
        fprintf(file, "%s%.17g", i > 0 ? ", " : "", space->absorption[i]);
    fputs("], ", file);
}

static void
write_space(FILE *file, const struct space *space)
{
    const struct tail *tail = &space->tail;

    fputs("  \"space\": {\n    ", file);
    write_walls(file, space);
    fprintf(file, "\"paths\": %u, \"order\": %u, \"seed\": %llu", space->paths, space->order,
            (unsigned long long)space->seed);
    write_pair(file, "noise_spl", space->noise_spl);
    write_pair(file, "speed_of_sound", space->speed);
    if (tail->t60_s > 0) {
        fprintf(file, ",\n    \"tail\": { \"t60\": %.17g, \"from_ms\": %.17g", tail->t60_s,
                tail->from_s * 1000);
        write_pair(file, "level_db", tail->level_db);
        write_pair(file, "per_second", tail->per_second);
        fprintf(file, ", \"seed\": %llu }", (unsigned long long)tail->seed);
    }
    fputs(" },\n", file);
}

static void
write_microphone(FILE *file, const struct microphone *microphone)
{
    fprintf(file, "{ \"socket\": %u, ", microphone->socket);
    write_stand(file, microphone->position, microphone->faces);
    write_pair(file, "pattern", microphone->omni);
    write_pair(file, "floor_db", 20 * log10(microphone->floor));
    write_pair(file, "mv_per_pa", microphone->mv_per_pa);
    write_pair(file, "mouth_m", microphone->mouth_m);
    fputs(" }", file);
}

static void
write_beams(FILE *file, const struct loudspeaker *loudspeaker)
{
    if (!loudspeaker->beams) {
        fputs(", \"beam\": \"none\"", file);
        return;
    }
    for (int i = 0; i < SCENE_BEAMS; i++)
        fprintf(file, "%s[%.17g, %.17g]", i > 0 ? ", " : ",\n      \"beam\": [",
                loudspeaker->beam[i].hz, loudspeaker->beam[i].degrees);
    fputs("]", file);
}

static void
write_loudspeaker(FILE *file, const struct loudspeaker *loudspeaker)
{
    fprintf(file, "{ \"mix\": %u, ", loudspeaker->mix);
    write_stand(file, loudspeaker->position, loudspeaker->faces);
    write_pair(file, "sensitivity_db", loudspeaker->sensitivity_db);
    write_pair(file, "amplifier_db", loudspeaker->amplifier_db);
    write_pair(file, "low_hz", loudspeaker->low_hz);
    write_pair(file, "high_hz", loudspeaker->high_hz);
    write_beams(file, loudspeaker);
    write_pair(file, "back_db", loudspeaker->back_db);
    fputs(",\n      \"ripple\": [", file);
    for (size_t i = 0; i < loudspeaker->ripple_count; i++)
        fprintf(file, "%s[%.17g, %.17g, %.17g]", i > 0 ? ", " : "", loudspeaker->ripples[i].hz,
                loudspeaker->ripples[i].db, loudspeaker->ripples[i].q);
    fputs("] }", file);
}

static void
write_people(FILE *file, const struct scene *scene)
{
    const char *before = ",\n  \"talkers\": [\n    ";
    bool any = false;

    for (size_t i = 0; i < scene->microphone_count; i++) {
        if (!isfinite(scene->microphones[i].talker_spl))
            continue;
        fprintf(file, "%s{ \"microphone\": %zu, \"spl\": %.17g }", any ? ",\n    " : before, i + 1,
                scene->microphones[i].talker_spl);
        any = true;
    }
    fputs(any ? "\n  ]" : "", file);
    for (size_t i = 0; i < scene->ears_count; i++) {
        fputs(i > 0 ? " },\n    { " : ",\n  \"ears\": [\n    { ", file);
        write_stand(file, scene->ears[i].position, scene->ears[i].faces);
    }
    fputs(scene->ears_count > 0 ? " }\n  ]" : "", file);
}

void
scene_write(const struct scene *scene, FILE *file)
{
    fprintf(file, "{\n  \"stage\": 1,\n  \"desk\": { \"latency_ms\": %.17g",
            scene->latency_s * 1000);
    write_pair(file, "input_dbu", scene->input_dbu);
    write_pair(file, "output_dbu", scene->output_dbu);
    fputs(" },\n", file);
    write_space(file, &scene->space);
    fputs("  \"microphones\": [", file);
    for (size_t i = 0; i < scene->microphone_count; i++) {
        fputs(i > 0 ? ",\n    " : "\n    ", file);
        write_microphone(file, &scene->microphones[i]);
    }
    fputs("\n  ],\n  \"loudspeakers\": [", file);
    for (size_t i = 0; i < scene->loudspeaker_count; i++) {
        fputs(i > 0 ? ",\n    " : "\n    ", file);
        write_loudspeaker(file, &scene->loudspeakers[i]);
    }
    fputs("\n  ]", file);
    write_people(file, scene);
    fputs("\n}\n", file);
}
