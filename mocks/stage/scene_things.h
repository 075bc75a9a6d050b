/* SPDX-License-Identifier: MIT */
/* What stands on the stage, out of a stage file. `object` is the scene. */
#ifndef MOCK_SCENE_THINGS_H
#define MOCK_SCENE_THINGS_H

#include "keys.h"
#include "scene.h"

void scene_read_microphones(struct walk *walk, const cJSON *json, void *object);
void scene_read_loudspeakers(struct walk *walk, const cJSON *json, void *object);
void scene_read_ears(struct walk *walk, const cJSON *json, void *object);

/*
 * Talkers stand at microphones, which may come later in the file: these are kept until
 * scene_check().
 */
void scene_read_talkers(struct walk *walk, const cJSON *json, void *object);

/* What only shows once all is read: two microphones in one socket, somebody outside the box. */
void scene_check(struct walk *walk, const struct scene *scene);

#endif
